"""The commands, one file each: its options, and what it does with them. `cli` puts them together."""
