"""The commands: each module says what its commands take and runs them; what they share stands in options and outcome."""
