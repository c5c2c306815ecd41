"""The guided set-up's words of the inbox: the same whether a station runs already or waits for its file."""
