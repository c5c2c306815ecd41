"""What is believed and trusted, kept in a file beside the store: a cache that makes a start short."""
