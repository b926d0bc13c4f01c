"""A heart, a torso, ten electrodes, a recorder, and what goes wrong at an electrode."""
