//! The calculation sheet. Its text is made only here, and only where it was asked for.

use api::v1;
use estimate::Include;
use working::{Line, LineInput, LineKind, Sheet};

use super::common::standing;

pub(super) fn asked_for(sheet: &Sheet, include: Include) -> Option<v1::CalculationSheet> {
    include.working.then(|| v1::CalculationSheet {
        lines: sheet.lines().into_iter().map(line).collect(),
    })
}

fn line(line: Line) -> v1::SheetLine {
    let kind = match line.kind {
        LineKind::Section => v1::LineKind::Section,
        LineKind::Step => v1::LineKind::Step,
        LineKind::Given => v1::LineKind::Given,
        LineKind::Derived => v1::LineKind::Derived,
        LineKind::Checked => v1::LineKind::Checked,
    };
    v1::SheetLine {
        number: line.number,
        kind: kind.into(),
        section: line.section,
        label: line.label,
        symbol: line.symbol,
        expression: line.expression,
        substituted: line.substituted,
        inputs: line.inputs.into_iter().map(input).collect(),
        value: line.value,
        unit: line.unit,
        document: line.document,
        clause: line.clause,
        standing: standing(line.standing).into(),
        origin: line.origin,
        holds: line.holds,
    }
}

fn input(input: LineInput) -> v1::LineInput {
    let from = input.from.into_iter();
    v1::LineInput {
        symbol: input.symbol,
        unit: input.unit,
        list: input.list,
        from: from
            .map(|(line, value)| v1::LineValue { line, value })
            .collect(),
    }
}
