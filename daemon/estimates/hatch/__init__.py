"""What is believed of the hatch: how far it is, when it will be how far, and what lots teach."""
