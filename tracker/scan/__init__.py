"""A picture in, codes out."""
