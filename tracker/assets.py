"""The location of kv/ and sample_projects/: inside the package in a wheel, beside it in a checkout or an editable
install."""

from __future__ import annotations

from pathlib import Path


def asset_dir(name: str) -> Path:
    """The folder `name`. Raises FileNotFoundError, naming both places, when the installation is broken."""
    package = Path(__file__).resolve().parent
    for folder in (package / name, package.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"{name}/ is neither in {package} nor in {package.parent}")
