"""The builds that this tablet knows, and revised build files."""
