"""The workshop's folder: journals in SQLite, photographs, papers and sheets by digest, bundles, backups, the check."""

from brasswright.journal.draft import Draft
from brasswright.store.appending import WORKSHOP_JOURNAL
from brasswright.store.checkup import check
from brasswright.store.foreign import Foreign, adopt, foreign
from brasswright.store.photograph import Photograph
from brasswright.store.rows import JobRow
from brasswright.store.store import Store, create, open_store

__all__ = [
    "WORKSHOP_JOURNAL",
    "Draft",
    "Foreign",
    "JobRow",
    "Photograph",
    "Store",
    "adopt",
    "check",
    "create",
    "foreign",
    "open_store",
]
