"""Full-size templates: what is on each sheet, and outlines as drawings for other programs."""
