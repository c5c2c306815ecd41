"""Every letter in words: a module a subject, `kinds` exports them all."""
