"""One-line diagrams: mains, supply, unit, ports with their load, injectors, extenders along runs, fed switches, devices."""

from equipsel.report.diagram.branches import Branches
from equipsel.report.diagram.figures import diagrams

__all__ = ["Branches", "diagrams"]
