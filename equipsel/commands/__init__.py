"""The commands, one module each: parse, call the library, print."""
