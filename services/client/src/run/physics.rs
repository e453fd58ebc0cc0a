//! The single questions of building physics.

use api::v1;

use super::{End, Form, Outcome, estimator, keep, say, text};
use crate::arguments::{Answerer, Question};
use crate::progress::Shown;
use crate::{print, survey};

/// One command a question: read the file as its message, lay the command line over it, ask, print, keep the drawings.
macro_rules! questions {
    ($($name:ident($request:ident -> $answer:literal);)*) => { $(
        pub(super) fn $name(question: &Question) -> Result<Outcome, End> {
            let form = Form::of(question.answerer.json);
            let read = survey::read_as::<v1::$request>(&question.request, stringify!($request));
            let (mut request, source) = read.map_err(|why| End::no_survey(why, form))?;
            let mut include = request.include.unwrap_or_default();
            include.working |= question.working;
            include.drawings |= question.drawings.is_some();
            request.include = Some(include);
            let asked = || {
                let shown = Shown::begin("calculating");
                let mut answer = estimator(&question.answerer)?.$name(request)?;
                drop(shown);
                let drawings = std::mem::take(&mut answer.drawings);
                Ok((text(&question.answerer, $answer, &answer, print::physics::$name)?, drawings))
            };
            let (text, drawings) = asked().map_err(|refusal| End::refused(refusal, Some(source), form))?;
            say(&text)?;
            if let Some(folder) = &question.drawings {
                keep(folder, &drawings)?;
            }
            Ok(Outcome::Answered)
        }
    )* };
}
questions! {
    bridge(BridgeRequest -> "BridgeResponse");
    dynamics(DynamicsRequest -> "DynamicsResponse");
    economy(EconomyRequest -> "EconomyResponse");
    saving(SavingRequest -> "SavingResponse");
    drying(DryingRequest -> "DryingResponse");
}

/// The details that `bridge` knows.
pub(super) fn details(answerer: &Answerer) -> Result<Outcome, End> {
    let form = Form::of(answerer.json);
    let asked = || {
        let answer = estimator(answerer)?.list_details(v1::ListDetailsRequest {})?;
        text(
            answerer,
            "ListDetailsResponse",
            &answer,
            print::physics::details,
        )
    };
    say(&asked().map_err(|refusal| End::refused(refusal, None, form))?)?;
    Ok(Outcome::Answered)
}
