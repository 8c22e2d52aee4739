"""The integer program that makes the cheapest choice: variables, one function per rule, objective, solving, packing."""
