"""Write the schema of the service to the file that is named, for the types of the web client."""

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, cast

from courtwright.api.app import create_app
from courtwright.desk.office import Office

if TYPE_CHECKING:
    from courtwright.store.opened import Store

if __name__ == "__main__":
    schema = create_app(Office(cast("Store", None))).openapi()
    Path(sys.argv[1]).write_text(json.dumps(schema, indent=1, sort_keys=True) + "\n", encoding="utf-8")
