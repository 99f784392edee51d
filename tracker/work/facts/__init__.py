"""Facts: what happened, and their places in the log. Each kind has its name here: `facts.Done`, `facts.Labelled`."""

from tracker.work.facts.entry import Entry as Entry
from tracker.work.facts.entry import in_order as in_order
from tracker.work.facts.kinds import *  # noqa: F403 (a new kind is defined there and listed nowhere)
from tracker.work.facts.written import from_data as from_data
from tracker.work.facts.written import to_data as to_data
