"""The tabs of the workbook: which tables people read on each, and of them which columns."""

from __future__ import annotations

from workbook_builder.core.tabs import JOIN, UNDER, Block, Tab, Tile

SEASON, MIX_SHEET, SPOT_PASS, SPRAY_MAP, LABEL_CHECK, RECORDS = ("Season", "Mix sheet", "Spot pass",
                                                                 "Spray map", "Label check", "Records")
#: What shows all that concerns spot passes alone, and the part of the tab Cost that does.
_SPOTS, _AGAINST = "passes.method=spot", "spot against broadcast"

TABS: tuple[Tab, ...] = (
    Tab(
        SEASON,
        (
            Block("to_fix", "status cause count example where", "What to fix, by cause"),
            Block("cost_fields", "field", "Each field: back in, harvest and cost", way=UNDER,
                  chart="spotting", charted="spot_season spot_choice"),
            Block("field_days", "back_in_from earliest_harvest", way=JOIN),
            Block("cost_fields", "cost_per_area", way=JOIN), Block("field_days", "status", way=JOIN),
            Block("ahead", "field pass status " + " ".join(f"day_{day}" for day in range(1, 15)),
                  "The next 14 days: S spray, C closed, ? not known, L look, R record",
                  chart="cost_by_field", charted="cost_fields"),
            Block("season_choice", title="First day shown", paper=False),
        ),
        "glance.verdict", "glance.first_thing",
        (Tile("glance.open", 2, 2, LABEL_CHECK), Tile("glance.cost_per_field_area", 3, 4, "Cost"),
         Tile("glance.total_cost", 5, 6, "Cost"), Tile("glance.passes", 8, 9, "Passes"),
         Tile("order_totals.products", 10, 24, "Orders")),
        top=9, banner="glance.banner", one_page=True,
    ),
    Tab(
        "Farm",
        (Block("fields",
               "field area crop planting_date harvest_date next_crop next_planting_date row_spacing "
               "location"), Block("farm"), Block("fields", title="More about fields", paper=False),
         Block("sprayers", paper=False), Block("spot_terms", paper=False, part="spot terms", used=_SPOTS),
         Block("crop_stages", paper=False, part="crop stages",
               used="label_limits.from_stage label_limits.before_stage")),
        "answers.farm", "answers.farm_to_do",
    ),
    Tab(
        "Products",
        (
            Block("products",
                  "product kind formulation registration_no restricted_use package_size package_unit "
                  "package_price on_hand density rei_hours rainfast_hours posting"),
            Block("products", "water_sensitive ams_low ams_high ams_content", "In hard water", paper=False,
                  part="hard water", used="water_tests farm.water_ca_ppm"),
            Block("products", title="More about products", paper=False),
            Block("clean_products", "container_rinse", way=JOIN, paper=False),
            Block("ingredients", paper=False),
            Block("label_limits",
                  "product crop allowed max_rate max_rate_season rate_unit max_passes retreat_days phi_days "
                  "grazing_days over_crop", paper=False),
            Block(
                "label_limits",
                "min_rate min_carrier max_carrier max_weed_height max_group_passes from_stage before_stage "
                "min_crop_height max_crop_height planting_days after_date before_date",
                way=JOIN, paper=False, part="least figures and stages of labels", used="crop_stages",
            ),
            Block("ingredient_limits", paper=False),
            Block("plant_back", paper=False), Block("package_sizes", paper=False),
            Block("soil_rates", paper=False, part="rates by soil"),
            Block("analysis", paper=False, part="nutrients"),
            Block("nutrients_wanted", paper=False, part="nutrients"),
        ),
        "answers.products", "answers.products_to_do",
    ),
    Tab(
        "Mixes",
        (Block("mixes"), Block("mix_rows", "goes_in reason", way=JOIN),
         Block("mix_list", "mix groups status finding", "Each mix", paper=False)),
        "answers.mixes", "answers.mixes_to_do",
    ),
    Tab(
        "Passes",
        (
            Block("passes", "pass field mix method date start_time carrier sprayed_share sprayer",
                  "You type"),
            Block("pass_open", "status", "Worked out from your row"),
            Block("pass_volumes", "loads", way=JOIN),
            Block("intervals", "reentry_at earliest_harvest", way=JOIN),
            Block("pass_why", "why", way=JOIN, paper=False),
            Block("pass_volumes", "sprayed_area volume", way=JOIN, paper=False),
            Block("cost_passes", "cost_per_field_area total_cost", way=JOIN, paper=False),
            Block("passes", title="More you may type", paper=False),
        ),
        "answers.passes", "answers.passes_to_do",
    ),
    Tab(
        MIX_SHEET,
        (
            Block("load_choice", title="Choose"),
            Block("load_sheet",
                  "mix method sprayer date volume full_volume in_tank area water first_fill rei_hours "
                  "reentry_at posting open", way=UNDER),
            Block("load_lines", "slot product pour off amount unit done pause"),
            Block("load_lines", "why", way=JOIN, paper=False),
        ),
        "load_sheet.answer", "load_sheet.status", one_page=True, big=True,
    ),
    Tab(
        SPOT_PASS,
        (
            Block("spot_load_choice", title="Choose"),
            Block(
                "spot_sheet",
                "next_fill water first_water next_area fills_expected fills_most in_tank chance_enough "
                "remaining_area loads_logged area_covered area_driven "
                "volume_expected volume_safe mix sprayer setting state confidence_note rests_on", way=UNDER,
            ),
            Block("spot_options", "choice fill enough if_low if_likely if_high expected_cost advised"),
            Block("spot_lines", title="Into the tank, in this order", way=UNDER),
            Block("spot_cases", "case share area volume product_cost", way=UNDER, chart="chance_by_fill",
                  charted="cost_curve spot_pick"),
            Block("load_log", paper=False, chart="narrowing", charted="step_facts"),
            Block("spot_passes",
                  "pass field share_low share_likely share_high volume_expected remaining_area in_tank "
                  "next_fill fills_expected fills_most status", "All spot passes", paper=False),
            Block("spot_checks_list",
                  "pass field crop_status speed_status rows_status daylight_status camera_status fee_total "
                  "status finding", "What the terms of the sprayer say", paper=False),
            Block("two_tanks",
                  "pass field partner main_loads spot_loads first_out out_here main_fill spot_fill finding",
                  paper=False),
            Block("spot_actual",
                  "pass field share_before share area_driven area_sprayed volume_before volume product_cost "
                  "saved enough", "Plan and actual", paper=False),
            Block("spot_trust", "said", way=UNDER, paper=False),
            Block("scouting", paper=False, part="scouting"), Block("pressure_classes", paper=False),
            Block("class_facts", "low high", way=JOIN, paper=False),
            Block("season_fields", "field this_season last two_ago three_ago more",
                  "Seasons by field", paper=False),
            Block("season_totals", "season passes area_driven area_sprayed share volume product_cost saved",
                  way=UNDER, paper=False),
            Block("spot_history", paper=False),
            Block("history_facts", "this_season more", way=JOIN, paper=False),
        ),
        "spot_sheet.headline", "spot_sheet.what_then", used=_SPOTS,
    ),
    Tab(
        SPRAY_MAP,
        (
            Block("map_choice", title="Choose"),
            Block("map_sheet",
                  "drawn sprayed_area share planned_share extra not_driven volume more_volume more_cost "
                  "status", way=UNDER),
            Block("map_spots", "where area extra_sprayed cost scout_on overlay", way=UNDER),
            Block("map_drawing", "slot " + " ".join(f"square_{number:02d}" for number in range(1, 25)),
                  chart="map_colours"),
            Block("map_passes", "pass field day log_kind", title="Each field", paper=False),
            Block("map_checks",
                  "share planned_share sprayed_area not_driven more_volume more_cost status finding",
                  way=JOIN, paper=False),
            Block("hot_spots", paper=False),
            Block("hot_spot_facts", "extra_sprayed cost share_of_extra lies scout_on going_in",
                  way=JOIN, paper=False),
            Block("map_overlays", paper=False), Block("overlay_says", "says", way=JOIN, paper=False),
            Block("map_recurrence", paper=False),
            Block("map_settings", notes=True, paper=False),
            Block("map_passes", title="More of each log", paper=False), Block("map_rows", paper=False),
        ),
        "map_sheet.answer", "map_sheet.to_do", used="", chart_rows=1, one_page=True,
    ),
    Tab(
        LABEL_CHECK,
        (
            Block("point_choice", title="Choose"),
            Block("open_points", "status pass field check finding", way=UNDER),
            Block("field_intervals", "field back_in_from earliest_harvest status",
                  "Each field: back in, and harvest", paper=False),
            Block("field_intervals", "because_of_pass harvest_because_of_pass", way=JOIN, paper=False),
            Block("product_limits",
                  "status pass field name rate max_rate season_amount max_season unit passes max_passes",
                  "Each product in each pass", paper=False),
        ),
        "answers.label_check", "answers.label_check_to_do",
    ),
    Tab(
        "Rotation",
        (
            Block("rotation_grid", "field", "Groups by season and pass"),
            Block("mode_reliance", "worst top_group top_share", way=JOIN),
            Block("rotation_grid",
                  "season_3 season_2 season_1 pass_1 pass_2 pass_3 pass_4 pass_5 pass_6 pass_7 pass_8",
                  way=JOIN, chart="repeats", filled=True),
            Block("past_use", paper=False), Block("earlier_sprays", paper=False),
            # Out of sight: the shades of the grid follow these.
            Block("rotation_grid",
                  "running_season_2 running_season_1 running_pass_1 running_pass_2 running_pass_3 "
                  "running_pass_4 running_pass_5 running_pass_6 running_pass_7 running_pass_8",
                  "Times running", paper=False),
        ),
        "answers.rotation", "answers.rotation_to_do", chart_rows=1,
    ),
    Tab(
        "Cost",
        (
            Block("cost_farm",
                  "product_cost carrier_cost application_cost fee total_cost cost_per_field_area",
                  "The farm"),
            Block("spot_season",
                  "all_over as_spotted net net_per_area saved_share water_saved chance together_chance "
                  "together_p10 p10 p50 p90 together_p90", way=UNDER, chart="net_of_season", part=_AGAINST),
            Block("full_fields",
                  "field crop area products carrier fuel charge fee own_labor full_cost full_per_area",
                  "Full cost by field, owning and labor in"),
            Block("cost_crops", "crop area total_cost cost_per_area", way=UNDER, chart="full_cost_by_field",
                  beside=True, charted="full_fields"),
            Block("cost_pass_names", way=UNDER),
            Block("spot_list", "pass field share break_even_share product_saved fee net net_per_area chance",
                  "Spot against broadcast", way=UNDER, part=_AGAINST),
            Block("spot_choice", title="What if", paper=False, part=_AGAINST, used=_SPOTS),
            Block("spot_chosen", way=UNDER, paper=False, part=_AGAINST),
            Block("spot_curve", way=UNDER, chart="cost_over_share", charted="spot_chosen", paper=False,
                  part=_AGAINST),
            Block("sprayer_costs",
                  "sprayer plan_area plan_hours owning running_hour own_area hire_area hire_even_area advice",
                  paper=False),
        ),
        "answers.cost", "answers.cost_to_do", chart_rows=22,
    ),
    Tab(
        "Orders",
        (
            Block("drop_list",
                  "product order_by supplier expected wanted on_hand missing packages size unit cost "
                  "first_use finding"),
            Block("pick_list", "pass field date product amount unit packages rest off", paper=False),
        ),
        "answers.orders", "answers.orders_to_do",
    ),
    Tab(
        RECORDS,
        (
            Block("records", "pass field sprayed_on record_kind missing due_date keep_until status",
                  "Each pass"),
            Block("record_choice", title="One record"), Block("record_sheet", way=UNDER),
            Block("record_sheet_lines", way=UNDER),
            Block("spray_log", paper=False), Block("amounts_used", paper=False),
        ),
        "answers.records", "answers.records_to_do",
    ),
    Tab(
        "Water",
        (
            Block("water_checks", "pass field water hardness asked ams_in_mix status finding"),
            Block("farm_water", paper=False), Block("water_tests", paper=False),
            Block("jar_choice", paper=False), Block("jar_sheet", way=UNDER, paper=False),
            Block("jar_lines", way=UNDER, paper=False),
        ),
        "answers.water", used="",
    ),
    Tab(
        "Sprayer",
        (
            Block("sprayer_checks",
                  "pass field flow nozzle pressure droplet wanted pressure_status droplet_status"),
            Block("clean_sequence", "change rinses water status", "Cleaning the tank after it"),
            Block("clean_sequence", "next_pass next_field finding fresh_area again_area rinsate",
                  way=JOIN, paper=False),
            Block("nozzles", paper=False), Block("catch_test", paper=False),
            Block("catch_checks", "rate from_mean above_new from_wanted status finding",
                  way=JOIN, paper=False),
            Block("rinse_terms", paper=False), Block("clean_out_labels", paper=False),
        ),
        "nozzle_totals.answer", "answers.sprayer_to_do", used="map_passes.dead_sections",
    ),
    Tab(
        "Weather",
        (
            Block("conditions", "pass field date time temperature humidity wind wind_from"),
            Block("condition_checks", "verdict status reason", way=JOIN),
            Block("condition_checks", "delta_t", way=JOIN, paper=False),
            Block("conditions", title="More about readings", paper=False),
            Block("pass_weather",
                  "pass field wind_min wind_max no_rain_hours opens closes verdict status finding",
                  "Each pass", paper=False),
            Block("pollinators", "restriction blooming clear status finding", way=JOIN, paper=False),
            Block("bloom", paper=False),
            Block("rain", paper=False, part="rain"),
            Block("rain_facts", "so_far", way=JOIN, paper=False, part="rain"),
            Block("rain_plant_back", paper=False, part="rain"),
            Block("weather_limits", paper=False),
        ),
        "answers.weather", "answers.weather_to_do", used="products.bees",
    ),
    Tab(
        "Runoff",
        (
            Block("mitigation_list", "pass field needed have exemption still status finding"),
            Block("mitigation_fields", paper=False),
            Block("field_points", "have needed still status", way=JOIN, paper=False),
            Block("mitigation", paper=False), Block("mitigation_labels", paper=False),
            Block("mitigation_settings", notes=True, paper=False),
        ),
        "runoff_answer.answer", used="",
    ),
    Tab(
        "Weeds",
        (
            Block("weeds"), Block("weed_cover", "uncovered_days gap_from gap_to status finding", way=JOIN),
            Block("weed_cover", "passes enough best", way=JOIN, paper=False),
            Block("pests", paper=False, part="pests"),
            Block("thresholds", "threshold injury_level cost_field cost_full gain status", way=JOIN,
                  paper=False, part="pests"),
            Block("suggestions", "pass field weed product adds_group cost suggestion", paper=False),
            Block("ratings", paper=False),
            Block("follow_up",
                  "pass field spots early_look first_look second_look looked rating status finding",
                  paper=False),
            Block("look_log", paper=False), Block("detection_trials", paper=False),
            Block("detection_results", "sprayed_share control escapes cost_per_area verdict",
                  way=JOIN, paper=False),
        ),
        "answers.weeds", "answers.weeds_to_do", used="",
    ),
    Tab(
        "Machine",
        (
            Block("machine", chart="payback_curve", charted="machine_years"),
            Block("machine_payback", "annual_net payback_years npv irr verdict", way=JOIN, chart="swings",
                  charted="machine_drawn"),
            Block("machine_years", "sprayer year returns flow running", paper=False),
            Block("machine_ranked", "sprayer place figure low as_entered high size turns", paper=False),
            Block("machine_use", paper=False),
        ),
        "answers.machine", used="",
    ),
    Tab(
        "Settings",
        (
            Block("assumptions", notes=True), Block("agronomy_settings", way=UNDER, notes=True),
            Block("spot_assumptions", way=UNDER, notes=True),
            Block("adding_steps", paper=False), Block("measuring_steps", paper=False),
            Block("contact_groups", paper=False), Block("formulation_codes", paper=False),
            Block("group_names", "said site_of_action in_a_row season_uses", paper=False),
        ),
    ),
)

#: Titles of sheets that earlier releases wrote and nobody types into.
FORMER_SHEETS = ("Calendar", "Clean-out", "Contents")

#: Key of a table -> title of the tab that shows it.
TAB_OF: dict[str, str] = {block.table: tab.title for tab in TABS for block in tab.blocks}
#: The same where a table stands on no tab or on one that may be away, but what it finds is told on one that
#: shows.
_TOLD_ON = {
    # The tab Sprayer shows only with what is typed for it; the finding itself says how to get it.
    "clean_sequence": LABEL_CHECK,
    "pass_ingredients": LABEL_CHECK, "plant_back_checks": LABEL_CHECK, "planting_checks": LABEL_CHECK,
    "earlier_passes": LABEL_CHECK, "mode_checks": "Rotation", "effective_modes": "Weeds",
    "pass_times": "Passes", "spot_against_broadcast": "Cost",
    "soil_lines": LABEL_CHECK, "nutrients": LABEL_CHECK, "buffers": LABEL_CHECK, "least_checks": LABEL_CHECK,
    "stage_checks": LABEL_CHECK, "share_estimates": SPOT_PASS, "spot_checks": SPOT_PASS,
    "order_list": "Orders", "mitigation_checks": "Runoff",
}
#: Key of a table -> its place in the order in which people read and type; the farm, which says the units,
#: before all others.
PLACE_OF: dict[str, int] = {key: number
                            for number, key in enumerate(["farm", *(key for key in TAB_OF if key != "farm")])}


def tab_of(key: str) -> str:
    """Return the title of the tab that tells what a table finds."""
    return _TOLD_ON.get(key) or TAB_OF[key]
