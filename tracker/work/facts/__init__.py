"""Facts: what happened, as stored in the log. Each kind is available here by name: `facts.Done`, `facts.Labelled`."""

from tracker.work.facts.entry import Entry as Entry
from tracker.work.facts.entry import in_order as in_order
from tracker.work.facts.kinds import *  # noqa: F403 (a new kind is defined there and listed nowhere)
from tracker.work.facts.written import from_data as from_data
from tracker.work.facts.written import to_data as to_data
