"""The rules of a contract of several rooms."""
