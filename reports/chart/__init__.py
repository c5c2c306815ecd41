"""The night chart, drawn by the child: `sheet` draws the whole of it."""
