"""Every way the catalog can power each device: a port, an injector, extenders along the run, a fed switch."""
