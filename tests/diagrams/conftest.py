import sys
from pathlib import Path

# The helpers beside these tests are no tests and belong to no package.
sys.path.insert(0, str(Path(__file__).parent))
