"""The rules of a lining: how its lengths cover the walls, and how near its joints come to the paper's."""
