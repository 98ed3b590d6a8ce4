"""Does covering tonight pay, given what it costs and what it saves?"""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param


@dataclass(frozen=True)
class CostLoss:
    """Whether to act.

    Attributes
    ----------
    act
        True when the chance is above the threshold; False when not; None when no threshold exists.
    threshold
        The chance above which acting pays, cost / loss [0 to 1 and above].
    expected_loss_waiting
        What waiting costs on average, in the unit of `loss`.
    why_not
        Why `act` is empty.
    """

    act: bool | None
    threshold: float | None
    expected_loss_waiting: float
    why_not: tuple[str, ...] = ()


def cost_loss(p: float, cost: float, loss: float) -> CostLoss:
    """Weigh the cost of protecting against the loss it would save.

    Parameters
    ----------
    p
        Chance of the harm [0 to 1].
    cost
        What protecting costs each time, in any unit (minutes, money) [from 0].
    loss
        What the harm costs when nothing is done, in the same unit [from 0].

    Returns
    -------
    CostLoss

    Notes
    -----
    Acting costs `cost` always; waiting costs ``p * loss`` on average. So acting pays when
    ``p > cost / loss``. At exactly the threshold both are equal and the answer is not to act.
    When nothing can be lost there is no threshold and no reason to act; `act` is then False.

    References
    ----------
    Murphy, A. H. (1977), The value of climatological, categorical and probabilistic forecasts in the
    cost-loss ratio situation, Monthly Weather Review 105, 803-816 (rule from memory).

    Examples
    --------
    >>> cost_loss(p=0.1, cost=4, loss=60).act
    True
    """
    if loss == 0:
        why = "Nothing can be lost, so there is no chance at which acting pays."
        return CostLoss(act=False, threshold=None, expected_loss_waiting=0.0, why_not=(why,))
    return CostLoss(act=p * loss > cost, threshold=cost / loss, expected_loss_waiting=p * loss)


CALCULATION = Calculation(
    name="cost-loss",
    question="Does protecting pay at this chance of harm?",
    source="Murphy 1977, Mon. Wea. Rev. 105:803 (from memory)",
    method="act when the chance is above cost / loss",
    params=(
        Param("p", "number", low=0, high=1, doc="Chance of the harm, 0 to 1."),
        Param("cost", "number", low=0, doc="What protecting costs each time, in any unit."),
        Param("loss", "number", low=0, doc="What the harm costs when nothing is done, in the same unit."),
    ),
    run=cost_loss,
    example={"p": 0.1, "cost": 4, "loss": 60},
    returns={
        "act": "whether to act",
        "threshold": "the chance above which acting pays",
        "expected_loss_waiting": "what waiting costs on average",
    },
    rules=(
        "At exactly the threshold the answer is not to act.",
        "A cost above the loss gives a threshold above 1: it never pays.",
        "With no loss there is no threshold: it is null and the answer is not to act.",
    ),
)
