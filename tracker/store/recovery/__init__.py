"""Opening a record in any state. A damaged one is set aside whole, and everything in it that can be proven is put
together again. This is the package's only entry point; nothing else imports its modules."""

from tracker.store.recovery.open import BACKUP_NAME, LOG_NAME, TORN, Opened, backup_paths, open_log
from tracker.store.recovery.rejoin import TabletRejoined, rejoin_rows

__all__ = ["BACKUP_NAME", "LOG_NAME", "TORN", "Opened", "TabletRejoined", "backup_paths", "open_log", "rejoin_rows"]
