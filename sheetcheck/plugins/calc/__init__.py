"""LibreOffice Calc: an extension that calls the user's own Python, and what that Python answers."""
