//! Every worked example of heat and moisture against its source.

mod thermal_worked;

#[test]
fn every_worked_example_holds() {
    let mut wrong = Vec::new();
    let cases = thermal_worked::cases();
    assert!(
        cases.len() >= 15,
        "the folder of worked examples is not whole"
    );
    for case in &cases {
        let answers = case.answers();
        assert!(!case.expect.is_empty(), "{} expects nothing", case.id);
        for expected in &case.expect {
            let got = answers.get(&expected.what).copied().unwrap_or(f64::NAN);
            let apart = (got - expected.value).abs();
            if apart.is_nan() || apart > expected.tolerance {
                wrong.push(format!(
                    "{} {}, {} to {}: {} expected {} +- {} {} from {}, got {got}",
                    case.file.display(),
                    case.title,
                    case.function,
                    case.clause,
                    expected.what,
                    expected.value,
                    expected.tolerance,
                    expected.unit,
                    expected.source
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
