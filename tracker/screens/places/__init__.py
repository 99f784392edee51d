"""One module for each place that the rail and More lead to."""
