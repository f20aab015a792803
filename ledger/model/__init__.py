"""The nouns of the ledger. Everything here is plain, frozen data; no module before it.

Numbers in entries, postings and statements are in one base: kilograms, hectares,
litres (see ``templates/units.json``). They are converted when a cell is read and
when a figure is shown, nowhere else. ``None`` always means unknown; zero is zero.
"""

from ledger.model.coefficients import (
    BookProduct,
    Crop,
    CropPart,
    FactorRow,
    FactorTable,
    ManureKind,
    ManureSet,
    PoolTerm,
    RemovalFigure,
    RemovalSet,
)
from ledger.model.definitions import Definitions
from ledger.model.figures import Figure, Nutrient, Source
from ledger.model.needs import (
    LegumeSet,
    NeedBook,
    NeedMethod,
    NitrateSet,
    SoilTestLevel,
    SoilTestSet,
)
from ledger.model.postings import Account, Factor, Gap, Journal, Posting
from ledger.model.sheets import Column, FindingKind, Lookup, Severity, Sheet, System, Unit
from ledger.model.statements import (
    FIGURES,
    Need,
    NitrogenPrice,
    Order,
    Plan,
    PlanLine,
    Results,
    RigCheck,
    Statement,
    Total,
)
from ledger.model.workbook import Book, Entry, Finding, Grid, Reading, Row, Value, Zone

__all__ = [
    "FIGURES",
    "Account",
    "Book",
    "BookProduct",
    "Column",
    "Crop",
    "CropPart",
    "Definitions",
    "Entry",
    "Factor",
    "FactorRow",
    "FactorTable",
    "Figure",
    "Finding",
    "FindingKind",
    "Gap",
    "Grid",
    "Journal",
    "LegumeSet",
    "Lookup",
    "ManureKind",
    "ManureSet",
    "Need",
    "NeedBook",
    "NeedMethod",
    "NitrateSet",
    "NitrogenPrice",
    "Nutrient",
    "Order",
    "Plan",
    "PlanLine",
    "PoolTerm",
    "Posting",
    "Reading",
    "RemovalFigure",
    "RemovalSet",
    "Results",
    "RigCheck",
    "Row",
    "Severity",
    "Sheet",
    "SoilTestLevel",
    "SoilTestSet",
    "Source",
    "Statement",
    "System",
    "Total",
    "Unit",
    "Value",
    "Zone",
]
