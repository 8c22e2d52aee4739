"""The same question for many sites: each one's kit, and one order over all of them."""
