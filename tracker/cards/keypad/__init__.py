"""What is typed on whole keys: numbers, times, tape readings."""
