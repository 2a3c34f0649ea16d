"""What shows the mutants that no farm shows, and the mutants that nothing can show."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

#: Mutants that do the same as the whole column or function for every input that passes checking, and why.
EQUIVALENT: Mapping[str, str] = {
    r"plant_back_checks.held: (?<!<)>(?!=) -> <": "the next crop is always planted after the spray, so its "
                                                  "state is never above 1, and below 1 no product stands "
                                                  "there",
    r"map_pick.row: \*(?=[A-Z(0-9$'a-z_]) -> /": "divided by one is times one",
    **{
        rf"{column}: \bOR\( -> AND(": "both cells are required, and a name that leads nowhere is refused, so "
                                      "that a row has both or neither"
        for column in ("stage_facts.key", "history_facts.pass_row", "analysis_facts.nutrient_no")
    },
    r"weed_cover.first: ,0\) -> ,1)": "the last nought stands in where there is no residual, and that case "
                                      "is answered before it",
}


def worked_examples() -> dict[str, Callable[[], None]]:
    """Return, for functions that farms leave untold, the test that works one out by hand or against another
    source.
    """
    from test_active_rates import test_a_rate_in_ounces_of_an_active
    from test_conditions import test_a_reading_of_the_next_day_speaks_for_half_a_day
    from test_effective_modes import test_share_of_the_most_used_group
    from test_hand_farms import test_every_crop_named_is_offered
    from test_measuring import BY_HAND, test_by_hand
    from test_money import test_carrier_by_hand
    from test_one_total import test_only_stops_beyond_the_partners_are_paid_more
    from test_reference_data import test_a_product_is_liquid_or_dry_by_its_formulation_first
    from test_resting import test_a_tab_is_away_until_its_word_is_typed
    from test_spot_checks import (
        test_a_tank_that_lasts_never_runs_out,
        test_clocks_follow_the_time_zone_database,
    )

    return {
        "loads.measuring.packages_text": partial(test_by_hand, BY_HAND[0]),
        "planning._holds": test_a_tab_is_away_until_its_word_is_typed,
        "clock.definitions.changes_of_year": test_clocks_follow_the_time_zone_database,
        "cost.definitions.carrier_cost": test_carrier_by_hand,
        "cost.definitions.hours_beside_partner": test_only_stops_beyond_the_partners_are_paid_more,
        "effective_modes.definitions.top_share": test_share_of_the_most_used_group,
        "planning.crops_named": test_every_crop_named_is_offered,
        "products.definitions.rate_in_base": test_a_rate_in_ounces_of_an_active,
        "reference.data.form_of": test_a_product_is_liquid_or_dry_by_its_formulation_first,
        "two_tanks.definitions.empty_at": test_a_tank_that_lasts_never_runs_out,
        "weather.definitions.may_speak": test_a_reading_of_the_next_day_speaks_for_half_a_day,
    }
