"""A planned start in words: what people read of when to set cysts, and what comes after."""
