"""Settings, and backups to restore."""
