"""What a fit is made of: freed values, runs that predict a log, least squares, and what the log can tell."""
