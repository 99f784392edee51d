"""The builds this tablet knows, and revised build files."""
