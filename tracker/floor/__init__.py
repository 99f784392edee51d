"""What every card is made from: the run, what has been done, the boards according to the log, and the time."""
