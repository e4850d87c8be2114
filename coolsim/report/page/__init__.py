"""The page for the phone: one file of HTML that needs no network."""
