"""The rules that the hung paper must keep: cover, print across joints, closing joint, turns."""
