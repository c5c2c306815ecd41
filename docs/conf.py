"""A web site of these pages, by `sphinx-build -M html docs build`: opens from a folder, without a server."""

project = "Naupliad"
html_title = "Naupliad"
html_theme = "furo"  # takes the reader's own fonts, and loads nothing from outside
extensions = ["myst_parser"]

nitpicky = True
myst_heading_anchors = 3  # made as code hosts make them, so that a link holds in both places
smartquotes = False  # what stands in a page is what is meant: -- begins an option

html_use_index = False  # it would be empty: the pages define no terms
html_copy_source = False
html_show_sourcelink = False
html_show_copyright = False
html_static_path = ["_static"]
html_css_files = ["tables.css"]
