"""What people do to a vessel, taken from the page's forms and given to the daemon, who alone writes it."""
