"""Documents under control: approve, issue, change, redline, post, show what was in force."""
