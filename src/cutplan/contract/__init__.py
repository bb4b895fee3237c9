"""Contracts: several rooms in one paper, each so many times, some of them mirrored."""
