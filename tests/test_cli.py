"""The commands, as a person runs them: exit codes, one line a fault, nothing half-written."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from capacity.__main__ main as _  # placeholder
