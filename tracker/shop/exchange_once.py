"""One exchange with the hub from a command, where no app is open."""

from __future__ import annotations

import contextlib

from tracker.shop.hub_builds import BuildsOfHub
from tracker.shop.hub_side import HubSide
from tracker.shop.shop import Shop
from tracker.shop.together import app_version
from tracker.store.errors import CannotWriteError, DamagedLogError
from tracker.together.errors import HubError
from tracker.together.exchange import ExchangeResult, exchange
from tracker.together.membership import read_membership


def exchange_once(shop: Shop) -> ExchangeResult:
    """Give and take everything once. Raises HubError, and ImportError where psycopg isn't installed."""
    membership = read_membership(shop.home)
    if membership is None or membership.code:
        raise HubError("refused", "This tablet belongs to no hub: `kerfcard hub join CODE` joins one.")
    from tracker.together.connection import Connection

    side, now = HubSide(shop, lambda question: question()), shop.now()
    with contextlib.closing(Connection(membership)) as hub:
        try:
            met = exchange(side, hub)
        except (DamagedLogError, CannotWriteError) as error:
            raise HubError("disagree", str(error)) from error
        finally:
            side.settle()
        hub.meet(side.tablet, now.boot_id, now.boot, app_version())
        BuildsOfHub(shop).exchange(hub)
    return met
