//! Every printed expression, on random inputs, against the function that the engines run.

#[test]
fn every_printed_expression_is_its_function() {
    let faults: Vec<String> = standards::formulas()
        .filter_map(|(module, formula)| {
            working::proof::prove(formula, 500)
                .err()
                .map(|fault| format!("{module}: {fault}"))
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
