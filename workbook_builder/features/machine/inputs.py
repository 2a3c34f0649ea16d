"""Declarations of what only the money side needs: prices, machines, package sizes."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, Table

#: Columns of the farm form.
FARM_MONEY = (
    Column("labor_rate", "Labor rate", "money_per_hour", minimum=0, maximum=10000,
           note="Wage with all charges, per hour; used for sprayers whose costs are counted in parts."),
    Column("hired_share", "Hired share of the labor", "share", minimum=0, maximum=1,
           note="Share of the hours worked by hired people; the rest is your own time. Blank: all your own."),
    Column("fuel_price", "Fuel price", "money_per_volume", minimum=0, maximum=1000, note="Per unit of fuel."),
    Column("interest_rate", "Interest rate", "share", digits=2, minimum=0, maximum=1,
           note="Yearly rate on money tied up in machines, for instance 6 %; with inflation taken off, use "
                "today's prices throughout."),
)

#: Columns of the sprayers table.
SPRAYER_MONEY = (
    Column("travel_efficiency", "Efficiency without refills", "share", minimum=0.05, maximum=1,
           note="Share of the theoretical work rate kept with turns but without refills, for instance 85 %; "
                "refills are then counted by load."),
    Column("fill_minutes", "Minutes to fill", "minutes", minimum=0, maximum=600,
           note="Minutes at the tender for each fill, mixing included."),
    Column("haul_minutes", "Minutes to the tender", "minutes", minimum=0, maximum=600,
           note="Minutes driven to the tender and back for each fill."),
    Column("fuel_per_hour", "Fuel per hour", "fuel_rate", minimum=0, maximum=1000,
           note="Fuel burnt per hour; with it (or a price and years) costs are counted in parts and Cost per "
                "hour is left out."),
    Column("list_price", "List price", "money", minimum=0, maximum=1e8,
           note="Price new; repairs and the value when sold follow from it."),
    Column("purchase_price", "Price paid", "money", minimum=0, maximum=1e8,
           note="What you paid; blank takes the list price."),
    Column("keep_years", "Years kept", "whole_years", minimum=1, maximum=40, note="Years until it is sold."),
    Column("sale_value", "Value when sold", "money", minimum=0, maximum=1e8,
           note="Blank estimates it from the list price and the years kept."),
    Column("hours_per_year", "Hours per year", "hours", digits=0, minimum=1, maximum=6000,
           note="All its work in a year; blank takes the hours of this plan."),
    Column("insurance_rate", "Insurance and housing", "share", digits=2, minimum=0, maximum=1,
           note="Per year, as a share of the mean of price paid and value when sold."),
    Column("repairs_per_year", "Repairs per year", "money", minimum=0, maximum=1e7,
           note="Your own figure; blank estimates it from the list price and the hours."),
    Column("hire_rate", "Custom rate", "money_per_area", minimum=0, maximum=10000,
           note="What a custom applicator would charge per area driven over, product left out."),
)

#: Columns of the products table.
PRODUCT_MONEY = (
    Column("supplier", "Supplier", "name", note="Who delivers it."),
    Column("delivery_days", "Days to deliver", "days", minimum=0, maximum=365,
           note="Days from ordering to delivery; blank takes the days of the assumptions."),
    Column("drop_date", "Delivery date", "date",
           note="Day the supplier delivers; checked against the first pass that needs it.",
           was=("Supplier drop date",)),
)

MACHINE = Table(
    "machine",
    "Machine",
    "What spot spraying costs more to own than a plain sprayer, and how much it works; one row per spot "
    "sprayer.",
    (
        Column("sprayer", "Sprayer", "name", required=True, choices="sprayers.sprayer",
               note="Choose from the sprayers; one row each."),
        Column("price_premium", "Price premium", "money", required=True, minimum=0, maximum=1e8,
               note="What it costs more than a plain sprayer of the same size."),
        Column("trade_in", "Trade-in of the premium", "money", required=True, minimum=0, maximum=1e8,
               note="What of the premium comes back when it is traded in at the end."),
        Column("life_years", "Years kept", "whole_years", required=True, minimum=1, maximum=40,
               note="Years until it is traded in."),
        Column("insurance_rate", "Insurance rate", "share", digits=2, minimum=0, maximum=1,
               note="Insurance and housing per year, as a share of the price premium."),
        Column("upkeep_per_area", "Upkeep per area", "money_per_area", minimum=0, maximum=1000,
               note="Sensors, nozzles, cleaning, updates: per area spot-sprayed (driven over). The fee "
                    "stands in the spot terms."),
        Column("area_per_year", "Area per year", "area", required=True, minimum=0, maximum=1e6,
               note="Area driven over in spot passes in a year, each pass counted."),
        Column("saving_per_area", "Saving per area", "money_per_area", minimum=-10000, maximum=10000,
               note="Net of fees, per area driven over; blank takes the mean of this plan's spot passes with "
                    "this sprayer."),
    ),
)

MACHINE_USE = Table(
    "machine_use",
    "Machine use",
    "The machine's year by crop; rows here take the place of the one area per year of the machine.",
    (
        Column("sprayer", "Sprayer", "name", required=True, choices="machine.sprayer",
               note="Choose from the machine table."),
        Column("crop", "Crop", "name", required=True, choices="crops.crop", suggest_only=True,
               note="Crop or fallow."),
        Column("area_per_year", "Area per year", "area", required=True, minimum=0, maximum=1e6,
               note="Area driven over in spot passes in this crop in a year, each pass counted."),
        Column("saving_per_area", "Saving per area", "money_per_area", minimum=-10000, maximum=10000,
               note="Net of fees; blank takes the mean of this plan's spot passes in this crop with this "
                    "sprayer."),
    ),
)

PACKAGE_SIZES = Table(
    "package_sizes",
    "Package sizes",
    "Other packages a product is sold in; the order list says where one would cost less.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("package_size", "Package size", "amount", required=True, minimum=0.001, maximum=1000000,
               note="In the package unit of the product."),
        Column("package_price", "Package price", "money", required=True, minimum=0, maximum=1000000,
               note="Price of one such package."),
        Column("supplier", "Supplier", "name", note="Who sells it."),
    ),
)


#: Cells of the assumptions form.
MONEY_ASSUMPTIONS = (
    Column("usual_delivery_days", "Days to deliver", "days", SETTING, default=7, minimum=0, maximum=365,
           note="Where a product has none of its own: it is ordered so many days before its first use.",
           source="your own figure"),
    Column("lube_share", "Oil and grease", "share", SETTING, default=0.15, minimum=0, maximum=1,
           note="Added to the cost of fuel.", source="15 % of fuel: Iowa State PM 710"),
    Column("labor_factor", "Labor hours per machine hour", "number", SETTING, default=1.2,
           minimum=1, maximum=3,
           note="Getting ready, driving and cleaning added to hours of work.",
           source="1.1 tractor, 1.2 other: ASAE Standards 2000, from memory"),
    Column("value_start", "Value when sold: first figure", "factor", SETTING, digits=4, default=0.883,
           minimum=0, maximum=2,
           note="Share of list price left = (first - second x root of years - third x root of hours per "
                "year) squared.",
           source="ASAE D497.7 Table 4, sprayers: .8830, .0787, 0; from memory"),
    Column("value_years", "Value when sold: second figure", "factor", SETTING, digits=4, default=0.0787,
           minimum=0, maximum=1,
           note="See the first figure.", source="ASAE D497.7 Table 4; from memory"),
    Column("value_hours", "Value when sold: third figure", "factor", SETTING, digits=4, default=0.0,
           minimum=0, maximum=1,
           note="See the first figure.", source="ASAE D497.7 Table 4; from memory"),
    Column("repair_start", "Repairs: first figure", "factor", SETTING, digits=2, default=0.41,
           minimum=0, maximum=5,
           note="Share of list price spent on repairs = first x (hours / 1000) to the power of the second.",
           source="ASAE D497.7 Table 3, boom sprayer, life 1500 h: .41, 1.3; from memory"),
    Column("repair_power", "Repairs: second figure", "factor", SETTING, digits=2, default=1.3,
           minimum=0, maximum=5,
           note="See the first figure.", source="ASAE D497.7 Table 3; from memory"),
    Column("escape_loss", "Cost of escapes", "money_per_area", SETTING, default=0.0, minimum=0, maximum=10000,
           note="Loss per area from weeds that a spot pass misses and broadcasting would have hit.",
           source="your own figure"),
    Column("second_pass", "Chance of a second pass", "share", SETTING, default=0.0, minimum=0, maximum=1,
           note="How often a spot pass has to be done again.", source="your own figure"),
    Column("swing", "Swing", "share", SETTING, default=0.2, minimum=0, maximum=0.9,
           note="How far each figure of the machine is moved down and up to see what matters most.",
           source="your own figure"),
)
