"""What a client keeps: one page that says what was found, why, and what to do."""
