"""Named scenarios: for the demo, for tests and for training."""

from couchside.simulate.library.demo import demo_round
from couchside.simulate.library.earlier import earlier_visits
from couchside.simulate.library.shelf import get_scenario, named_scenarios

__all__ = ["demo_round", "earlier_visits", "get_scenario", "named_scenarios"]
