"""The local page's process: it reads the store, shows what is there, and asks the daemon to note deeds."""
