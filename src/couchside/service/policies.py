"""The department's verdict policy file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from couchside.errors import InvalidInput
from couchside.quality import Assessment, check
from couchside.quality.policy import Policy
from couchside.quality.policy_reading import get_shipped_policy, parse_policy
from couchside.recording import Recording
from couchside.service.owned_files import read_owned_file

POLICY_FILE = "verdict-policy.toml"
"""Under this name the department's policy lies in the data folder."""


def load_policy(path: Path) -> Policy:
    """Read a policy file; raises InvalidInput, naming line and field, where it is broken."""
    return parse_policy(read_owned_file(path, "policy"), path.name)


def find_department_policy(data_folder: Path) -> Policy | None:
    """The policy in the data folder; None where the department has put none there."""
    path = data_folder / POLICY_FILE
    return load_policy(path) if path.is_file() else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChosenPolicy:
    """The policy that counts at a desk.

    Parameters
    ----------
    policy : Policy
        The department's, else the shipped one.
    problem : str
        What is wrong with the department's, in one sentence, where it cannot be used.
    """

    policy: Policy
    problem: str = ""

    def judge(self, recording: Recording) -> Assessment:
        """Check a recording by it; the version names a policy that is not the shipped one."""
        assessment = check(recording, self.policy)
        if assessment.policy is None:
            return assessment
        answer = replace(assessment.policy, problem=self.problem)
        own = "" if self.policy is get_shipped_policy() else f"+policy.{self.policy.digest}"
        version = f"{assessment.code_version}{own}"
        return replace(assessment, code_version=version, policy=answer)

    def judged(self, assessment: Assessment) -> bool:
        """Whether an assessment was made by it."""
        answer = assessment.policy
        return (
            answer is not None
            and answer.digest == self.policy.digest
            and answer.problem == self.problem
        )


def choose_policy(data_folder: Path) -> ChosenPolicy:
    """The department's policy, if it has one that can be read; else the shipped one.

    A broken policy keeps nobody from a verdict: the sentence that says what is wrong with it then
    stands beside the verdict.
    """
    try:
        own = find_department_policy(data_folder)
    except InvalidInput as error:
        problem = f"{error}; the shipped policy was used instead"
        return ChosenPolicy(policy=get_shipped_policy(), problem=problem)
    return ChosenPolicy(policy=own or get_shipped_policy())
