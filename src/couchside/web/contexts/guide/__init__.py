"""The guide to placements: own drawings, the sites in words, the skin."""

from couchside.web.contexts.guide.guide_view import (
    GUIDED,
    GuideView,
    choose_guided,
    find_placement,
    slug_of,
    view_guide,
)

__all__ = ["GUIDED", "GuideView", "choose_guided", "find_placement", "slug_of", "view_guide"]
