"""The desk the pages work at: the stores of a data folder, opened once, and the visits lately asked for."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from tersum.errors import TersumError
from tersum.records import home
from tersum.records.store import Store, open_store
from tersum.records.visit_reader import VisitReader, open_visit
from tersum.records.when import Clock

_VISITS_KEPT = 200


class NoSuchVisit(LookupError):
    """There is no such organisation, or no such visit in it; which of the two is nobody's business."""


class Desk:
    """Stores and visits of one data folder. May be used from several threads.

    Parameters
    ----------
    folder : Path
        The data folder.
    clock : callable
        Returns the present moment with its time zone.
    zone : str
        IANA name of the zone that "today" is meant in; entries of a visit are made in the visit's own.
    """

    def __init__(self, folder: Path, clock: Clock, zone: str):
        self.folder, self.clock, self.zone = folder, clock, zone
        self._stores: dict[str, Store] = {}
        self._visits: OrderedDict[tuple[str, str], VisitReader] = OrderedDict()
        self._lock = threading.Lock()

    def stores(self) -> tuple[Mapping[str, Store], Mapping[str, TersumError]]:
        """Return the stores that can be opened, by organisation, and why the others cannot."""
        opened: dict[str, Store] = {}
        refused: dict[str, TersumError] = {}
        for organisation in home.organisations(self.folder):
            try:
                opened[organisation] = self.store(organisation)
            except TersumError as trouble:
                refused[organisation] = trouble
        return opened, refused

    def store(self, organisation: str) -> Store:
        """Return the store of an organisation; one made since the pages were started is found too."""
        with self._lock:
            if organisation not in self._stores:
                self._stores[organisation] = open_store(self.folder, organisation, clock=self.clock, zone=self.zone)
            return self._stores[organisation]

    def visit(self, organisation: str, visit_id: str) -> VisitReader:
        """Return a visit, or raise :class:`NoSuchVisit`."""
        key = (organisation, visit_id)
        with self._lock:
            if key in self._visits:
                self._visits.move_to_end(key)
                return self._visits[key]
        found = self._opened(organisation, visit_id)
        with self._lock:
            kept = self._visits.setdefault(key, found)
            while len(self._visits) > _VISITS_KEPT:
                self._visits.popitem(last=False)
            return kept

    def close(self) -> None:
        """Let go of every file."""
        with self._lock:
            for store in self._stores.values():
                store.close()
            self._stores.clear()
            self._visits.clear()

    def _opened(self, organisation: str, visit_id: str) -> VisitReader:
        if organisation not in home.organisations(self.folder):
            raise NoSuchVisit
        store = self.store(organisation)
        found = open_visit(store, visit_id, organisation)
        if found is None:
            raise NoSuchVisit
        # What is entered at a visit is entered in the zone of its place.
        there = Store(store.database, replace(store.chain, zone=found.sealed.plan.zone))
        reader = VisitReader(there, found.sealed)
        reader.refresh()
        return reader
