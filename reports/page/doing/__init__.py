"""What people do to a vessel, as the page asks for it and says it back: plain records in, words out."""
