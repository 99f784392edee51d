"""Running clocks, and alarms."""
