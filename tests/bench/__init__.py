"""Scripts that measure. Importing `tracker` first sets what must be set before numpy is imported."""

import tracker  # noqa: F401
