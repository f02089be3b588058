"""What pyproject.toml cannot say: every room is found, and the samples travel inside the package."""

from setuptools import find_packages, setup

SAMPLES = "capacity.inventory_samples"

setup(
    packages=[*find_packages(include=["capacity", "capacity.*"]), SAMPLES],
    package_dir={SAMPLES: "inventory_samples"},
)
