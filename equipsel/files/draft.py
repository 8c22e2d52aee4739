"""What has been read so far, right or not, for the checks that look across tables."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from equipsel.catalog import Catalog
from equipsel.columns import Row
from equipsel.files.problems import Problem, site_problem
from equipsel.scenario import Scenario


@dataclass(frozen=True)
class Draft:
    """The rows that are right, in a scenario and a catalog; the names in all rows; what each table is called.

    `warnings` is what was odd about the files.
    A check asks `read` before it concludes from something's absence: a table that cannot be read may hold it.
    """

    scenario: Scenario
    catalog: Catalog
    names: Mapping[str, frozenset[str]] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    unreadable: frozenset[str] = frozenset()
    warnings: tuple[Problem, ...] = ()

    def read(self, *tables: str) -> bool:
        """Whether all these tables could be read (or are not there, which is no fault of theirs)."""
        return self.unreadable.isdisjoint(tables)

    def named(self, *tables: str) -> frozenset[str]:
        """The names in the first columns of these tables, also of rows that have something wrong."""
        return frozenset().union(*(self.names.get(table, frozenset()) for table in tables))

    def source(self, table: str) -> str:
        """What messages call a table."""
        return self.sources.get(table, f"{table}.csv")

    def problem(self, row: Row, column: str, wrong: str, mend: str) -> Problem:
        """A problem at a column of a row."""
        return site_problem(self.source(row.table), row.line, column, wrong, mend)


Check = Callable[[Draft], Iterator[Problem]]
"""One rule across tables: yields a problem for each place where it is broken."""
