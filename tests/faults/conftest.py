import pytest

from tests.faults.seed import Seed, seed


@pytest.fixture(scope="session")
def seeded(tmp_path_factory: pytest.TempPathFactory) -> Seed:
    """Made once; a test copies it to a data folder of its own."""
    return seed(tmp_path_factory.mktemp("seed"))
