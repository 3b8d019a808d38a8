//! Small rows for many zones: few elements, whatever happens in them, and text alternatives that carry
//! the temperatures.

use setband::Scenario;
use setband::report::chart::rows_svg;

/// A room that is never starved and one that is, on one outdoor unit.
const TEXT: &str = "period: {from: 2025-04-08}
weather: {design_day: {high: 14, range: 9}}
outdoor_unit: {owner: loom, heating: [{outdoor: 8, capacity: 12 kW, cop: 3.7}], cooling: [{outdoor: 20,
  capacity: 12 kW, cop: 5.2}]}
zones:
  loom: {space: {floor: 90 m2}, gains: {from: \"06:30\", to: \"15:30\", power: 3300 W}, unit: {heating: 5
    kW, cooling: 5 kW}, controls: {heat: 19, cool: 22}}
  office: {space: {floor: 40 m2}, unit: {heating: 3 kW, cooling: 3 kW}, controls: {heat: 21, cool: 24}}
";

#[test]
fn a_row_has_few_elements_and_tells_its_temperatures() {
    let run = Scenario::parse(TEXT).expect("a scenario").run().expect("a run");
    let drawn = rows_svg(&run.as_run(), 0, 600, 17).expect("rows");
    let [loom, office] = drawn.zones.as_slice() else { panic!("two rows") };
    assert!(office.contains("class=\"starved\"") && !loom.contains("class=\"starved\""));
    assert!(office.contains("<desc>office: air "), "{office}");
    for row in [loom, office] {
        assert!(row.matches("</").count() + row.matches("/>").count() < 45, "{row}");
    }
    assert!(drawn.axis.contains("12:00"));
}
