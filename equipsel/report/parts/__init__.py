"""The parts of the report, one module a part, each from a view of the kit to what stands under its heading."""
