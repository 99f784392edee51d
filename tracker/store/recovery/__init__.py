"""Opening a record in whatever state it is in. A damaged one is set aside whole, and all of it that can be
proven is put together again. This is the package's one door; nothing else imports its modules."""

from tracker.store.recovery.open import BACKUP_NAME, LOG_NAME, TORN, Opened, backup_paths, open_log
from tracker.store.recovery.rejoin import TabletRejoined, rejoin_rows

__all__ = ["BACKUP_NAME", "LOG_NAME", "TORN", "Opened", "TabletRejoined", "backup_paths", "open_log", "rejoin_rows"]
