"""The paper: its print and how strips match, what a label says of it, and the stock that it is cut from."""
