"""Ways of building a site beside each other: options, break-even prices, trade-offs, kits that cost nearly the same."""
