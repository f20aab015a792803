"""Invented farms for tests: one field alone, and a small farm with a bit of everything."""

from __future__ import annotations

from workbooks import workbook

ONE_FIELD = """
## fields
| field | area |
| Home  | 40   |
"""

STANDARD = """
## farm
| farm_name         | operator |
| Willow Bend Farm  | A. Abel  |

## people
| name     | role     | crop_share_pct | cost_share_pct |
| A. Abel  | self     |                |                |
| R. Moser | landlord | 40             | 40             |
| C. Linde | customer |                |                |

## fields
| field        | area | owner    | tenure     |
| Home         | 40   | A. Abel  | owned      |
| Long Bottom  | 60   | R. Moser | crop share |
| Creek Meadow | 12.5 | A. Abel  | owned      |
| Linde North  | 25   | C. Linde | custom     |

## zones
| field       | zone | area |
| Long Bottom | west | 24   |
| Long Bottom | east | 36   |

## crops
| field        | zone | crop          | yield_goal |
| Home         |      | soybean       | 55         |
| Long Bottom  |      | corn          | 200        |
| Creek Meadow |      | alfalfa       | 5          |
| Linde North  |      | corn          | 180        |

## manure_lots
| lot      | kind       | form   | n_total | n_ammonium | p2o5 | k2o | s  | density | per      |
| Fall pit | hog liquid | liquid | 48      | 34         | 26   | 31  | 5  | 8.4     | 1000 gal |
| Pack     | beef solid | solid  | 14      | 4          | 8    | 12  | 2  |         | ton      |

## manure_spread
| date       | lot      | field       | zone | amount | unit   | method    | incorporated_after_h |
| 2025-11-03 | Fall pit | Long Bottom | west | 4000   | gal/ac | broadcast | 20                   |
| 2025-11-05 | Fall pit | Linde North |      | 75000  | gal    | broadcast | 6                    |
| 2026-04-02 | Pack     | Home        |      | 400    | ton    | broadcast | never                |

## fertilizer
| date       | pass      | product        | field        | zone | amount | unit   |
| 2026-04-24 | planter   | 10-34-0        | Long Bottom  |      | 5      | gal/ac |
| 2026-06-10 | sidedress | UAN-28         | Long Bottom  | east | 40     | gal/ac |
| 2026-06-11 | sidedress | UAN-28         | Long Bottom  | west | 10     | gal/ac |
| 2026-04-10 | preplant  | potash 0-0-60  | Creek Meadow |      | 1.5    | ton    |

## harvest
| date       | field        | zone | crop    | part  | yield | unit   | bale_weight | moisture_pct |
| 2026-10-02 | Home         |      | soybean | grain | 54    | bu/ac  |             |              |
| 2026-10-20 | Long Bottom  | west | corn    | grain | 210   | bu/ac  |             |              |
| 2026-10-21 | Long Bottom  | east | corn    | grain | 201   | bu/ac  |             | 19.5         |
| 2026-06-02 | Creek Meadow |      | alfalfa | hay   | 90    | bales  | 1150        |              |
| 2026-10-23 | Linde North  |      | corn    | grain | 4500  | bu     |             |              |

## credits
| field       | zone | kind               | amount | unit  |
| Long Bottom |      | irrigation nitrate | 12     | lb/ac |

## past_manure
| year | field | kind       | n_organic | n_total |
| 2025 | Home  | beef solid | 60        | 90      |
"""


def standard() -> bytes:
    """The standard farm's workbook."""
    return workbook(STANDARD)
