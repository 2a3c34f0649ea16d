"""Declarations of what happened: the spray log and the amounts really used."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table

#: How far what is logged may differ before it is in doubt, as parts; common practice, no source.
#: Area treated over the field's area, as GPS and boundaries differ; orders and the list of what is left take
#: the same.
AREA_DOUBT = 0.05
#: Volume sprayed against the carrier rate, and an amount measured against the rate of the mix.
VOLUME_DOUBT = 0.25
AMOUNT_DOUBT = 0.25
#: Volume of the loads logged against the volume sprayed.
LOADS_DOUBT = 0.1
#: Area treated over what boom and speed reach in the hours logged.
PACE_DOUBT = 0.05

RECORD_CAUTION = ("State rules may ask for more, sooner and for longer than the federal record; the stricter "
                  "one holds.")

SPRAY_LOG = Table(
    "spray_log",
    "Spray log",
    "One row per pass and field that was sprayed: dates and times typed here take the place of the planned "
    "ones everywhere.",
    (
        Column("pass", "Pass", "name", required=True, choices="cost_pass_names.pass",
               note="As named in Passes; a pass that is not there counts nowhere."),
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("date", "Date sprayed", "date",
               note="Day the application started; a row without it counts as not sprayed yet."),
        Column("start_time", "Start", "time", note="Clock time the application started, for instance 07:30."),
        Column("end_date", "Last day", "date", note="Only when the application ended on a later day."),
        Column("end_time", "End", "time",
               note="Clock time the application ended; re-entry counts from here."),
        Column("area_treated", "Area treated", "area", minimum=0, maximum=100000,
               note="Blank counts the whole field: band, alternate-row and sensor-guided work is recorded by "
                    "the block."),
        Column("volume_sprayed", "Volume sprayed", "volume", minimum=0, maximum=1000000,
               note="Spray volume that left the nozzles; gives the amounts used unless they are typed."),
        Column("wind_start", "Wind at start", "speed", minimum=0, maximum=200, note="Speed at boom height."),
        Column("wind_from_start", "Wind from, at start", "name",
               note="Compass direction the wind came from, for instance SW."),
        Column("wind_end", "Wind at end", "speed", minimum=0, maximum=200, note="Speed at boom height."),
        Column("wind_from_end", "Wind from, at end", "name", note="Compass direction the wind came from."),
        Column("temperature_start", "Temperature at start", "temperature", minimum=-60, maximum=140,
               note="Air temperature."),
        Column("temperature_end", "Temperature at end", "temperature", minimum=-60, maximum=140,
               note="Air temperature."),
        Column("humidity", "Relative humidity", "percent", minimum=0, maximum=100, digits=0,
               note="Percent, at start."),
        Column("applicator", "Applicator", "name",
               note="Certified applicator or the certified person in charge."),
        Column("certificate", "Certificate no.", note="Certification number of that person."),
        Column("supervised_person", "Applied by, not certified", "name",
               note="Who applied under that person's supervision without being certified; blank when the "
                    "certified applicator did.",
               source="40 CFR 171.303(b)(7), second hand"),
        Column("site", "Location", "long_text",
               note="Legal description, field number or map mark; say spot application where it was one."),
        Column("written_on", "Record written", "date", note="Day the record was completed."),
        Column("customer", "Customer", "long_text",
               note="Commercial work: name and address of the customer; blank on the own farm."),
        Column("copy_given_on", "Copy given", "date", note="Commercial work: day the customer got the copy."),
        Column("notes", "Notes", "long_text", note="Anything worth remembering."),
    ),
    caution=RECORD_CAUTION,
)

AMOUNTS_USED = Table(
    "amounts_used",
    "Amounts used",
    "Amounts of product really used, where they were measured; blank rows fall back on the volume sprayed, "
    "then on the plan.",
    (
        Column("pass", "Pass", "name", required=True, choices="cost_pass_names.pass",
               note="As named in Passes."),
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("amount", "Amount", "amount", required=True, minimum=0, maximum=10000000,
               note="Product that left the nozzles, before dilution, in the unit that Record amounts shows; "
                    "the limits are judged by it."),
    ),
)
