"""Which column of a member's own sheet is which column of a record table: proposed, confirmed, kept as CSVW."""

from knockon.graph.mapping.csvw import MappingError, mapping_path, read_mapping, write_mapping
from knockon.graph.mapping.model import ColumnMap, Mapping, Target, targets
from knockon.graph.mapping.propose import Proposal, propose

__all__ = [
    "ColumnMap",
    "Mapping",
    "MappingError",
    "Proposal",
    "Target",
    "mapping_path",
    "propose",
    "read_mapping",
    "targets",
    "write_mapping",
]
