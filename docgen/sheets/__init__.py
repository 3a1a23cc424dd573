"""Tables to fill in, of a site: its equipment, its people, and what the log holds of training and inspections; out as CSV or XLSX, and in again."""
