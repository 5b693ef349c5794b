"""What is shown of an audit: marks for the copy, the report for other programs, the terminal."""
