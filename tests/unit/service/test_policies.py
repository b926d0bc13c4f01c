"""The department's verdict policy in its data folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from couchside.errors import InvalidInput
from couchside.quality.policy_reading import get_shipped_policy, get_shipped_text
from couchside.service.desk import Desk
from couchside.service.opening import open_recording
from couchside.service.policies import POLICY_FILE, choose_policy, load_policy
from couchside.service.receiving import Received

Drop = Callable[..., Received]


def test_shipped_policy_counts_where_there_is_no_other(tmp_path: Path) -> None:
    assert choose_policy(tmp_path).policy is get_shipped_policy()


def test_department_owns_a_file_in_its_data_folder(tmp_path: Path) -> None:
    text = get_shipped_text().replace('"shipped verdict policy"', '"ours"')
    (tmp_path / POLICY_FILE).write_text(text, encoding="utf-8")

    chosen = choose_policy(tmp_path)

    assert (chosen.policy.title, chosen.problem) == ("ours", "")
    assert chosen.policy.digest != get_shipped_policy().digest


def test_broken_policy_keeps_nobody_from_a_verdict(tmp_path: Path) -> None:
    (tmp_path / POLICY_FILE).write_text('title = "ours"\n', encoding="utf-8")

    chosen = choose_policy(tmp_path)

    assert chosen.policy is get_shipped_policy()
    assert "row is missing" in chosen.problem
    assert chosen.problem.endswith("the shipped policy was used instead")


def test_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InvalidInput, match=r"the policy .*none\.toml cannot be read"):
        load_policy(tmp_path / "none.toml")


def test_another_policy_assesses_again_and_says_so(desk: Desk, drop: Drop) -> None:
    drop()
    before = open_recording(desk, 1).assessment
    text = get_shipped_text().replace('"shipped verdict policy"', '"ours"')
    (desk.data_folder / POLICY_FILE).write_text(text, encoding="utf-8")

    after = open_recording(desk, 1).assessment

    assert "+policy." not in before.code_version
    assert "+policy." in after.code_version
    assert after.policy is not None
    assert after.policy.title == "ours"
    assert after.verdict == before.verdict
