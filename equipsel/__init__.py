"""Choose the switches, supplies, injectors and extenders that power a site over its Ethernet cable.

The library is the product; the command line (`equipsel.cli`) is a thin face of it. The four calls that do the job are
`equipsel.files.read_scenario`, `equipsel.files.read_catalog`, `equipsel.solve.cheapest_kit` and `equipsel.audit.audit`.
"""

__version__ = "0.1.0"
