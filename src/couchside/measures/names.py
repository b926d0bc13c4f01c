"""What each measure is called where people read it: in a table, and within a sentence."""

from __future__ import annotations

from couchside.measures.model import MeasureName

TABLE_NAMES: dict[MeasureName, str] = {
    MeasureName.HEART_RATE: "Heart rate",
    MeasureName.P_DURATION: "P duration",
    MeasureName.PR_INTERVAL: "PR interval",
    MeasureName.QRS_DURATION: "QRS duration",
    MeasureName.QT_INTERVAL: "QT interval",
    MeasureName.QTC_BAZETT: "QTc Bazett",
    MeasureName.QTC_FRIDERICIA: "QTc Fridericia",
    MeasureName.QTC_FRAMINGHAM: "QTc Framingham",
    MeasureName.QTC_HODGES: "QTc Hodges",
    MeasureName.P_AXIS: "P axis",
    MeasureName.QRS_AXIS: "QRS axis",
    MeasureName.T_AXIS: "T axis",
    MeasureName.JT_INTERVAL: "JT interval",
    MeasureName.JT_INDEX: "JT index",
    MeasureName.SOKOLOW_LYON: "Sokolow–Lyon",
    MeasureName.CORNELL_VOLTAGE: "Cornell",
    MeasureName.CORNELL_PRODUCT: "Cornell product",
    MeasureName.LIMB_QRS_VOLTAGE: "Limb QRS",
    MeasureName.CHEST_QRS_VOLTAGE: "Chest QRS",
}
"""At the head of a row, where space is short."""

SENTENCE_NAMES: dict[MeasureName, str] = {
    MeasureName.HEART_RATE: "heart rate",
    MeasureName.P_DURATION: "P duration",
    MeasureName.PR_INTERVAL: "PR interval",
    MeasureName.QRS_DURATION: "QRS duration",
    MeasureName.QT_INTERVAL: "QT interval",
    MeasureName.QTC_BAZETT: "QTc (Bazett)",
    MeasureName.QTC_FRIDERICIA: "QTc (Fridericia)",
    MeasureName.QTC_FRAMINGHAM: "QTc (Framingham)",
    MeasureName.QTC_HODGES: "QTc (Hodges)",
    MeasureName.P_AXIS: "P axis",
    MeasureName.QRS_AXIS: "QRS axis",
    MeasureName.T_AXIS: "T axis",
    MeasureName.JT_INTERVAL: "JT interval",
    MeasureName.JT_INDEX: "JT index",
    MeasureName.SOKOLOW_LYON: "Sokolow–Lyon voltage",
    MeasureName.CORNELL_VOLTAGE: "Cornell voltage",
    MeasureName.CORNELL_PRODUCT: "Cornell product",
    MeasureName.LIMB_QRS_VOLTAGE: "largest QRS of the limb leads",
    MeasureName.CHEST_QRS_VOLTAGE: "largest QRS of the chest leads",
}
"""In the middle of a sentence."""
