//! The single questions of building physics.

use std::fs;

use api::v1;

use super::{End, Form, Outcome, estimator, keep, say, text};
use crate::arguments::{Answerer, Question, Weathered};
use crate::progress::Shown;
use crate::{print, survey};

/// A question whose climate may be hourly weather of the caller's own.
trait TakesWeather {
    /// Puts the text of a weather file in place of the climate that is named.
    fn take_weather(&mut self, epw_text: String);
}

impl TakesWeather for v1::WallRequest {
    fn take_weather(&mut self, epw_text: String) {
        let climate = self.climate.get_or_insert_default();
        climate.outside = Some(v1::wall_climate::Outside::EpwText(epw_text));
    }
}

impl TakesWeather for v1::SavingRequest {
    fn take_weather(&mut self, epw_text: String) {
        use v1::saving_terms::Season;
        let terms = self.terms.get_or_insert_default();
        if let Some(Season::Weather(weather)) = &mut terms.season {
            weather.epw_text = epw_text;
            return;
        }
        terms.season = Some(Season::Weather(v1::SeasonWeather {
            epw_text,
            ..v1::SeasonWeather::default()
        }));
    }
}

impl TakesWeather for v1::DryingRequest {
    fn take_weather(&mut self, epw_text: String) {
        self.climate.clear();
        self.weather.get_or_insert_default().epw_text = epw_text;
    }
}

/// Lays the weather file of the command line over a question.
fn weather<Q: TakesWeather>(request: &mut Q, weathered: &Weathered) -> Result<(), End> {
    let Some(path) = &weathered.weather else {
        return Ok(());
    };
    let unreadable = |e| End::Misused(format!("{}: {e}", path.display()));
    request.take_weather(fs::read_to_string(path).map_err(unreadable)?);
    Ok(())
}

/// Nothing to lay over a question.
#[allow(clippy::unnecessary_wraps)] // the shape of laying
fn as_it_is<Q>(_: &mut Q, _: &Question) -> Result<(), End> {
    Ok(())
}

impl AsRef<Question> for Question {
    fn as_ref(&self) -> &Question {
        self
    }
}

impl AsRef<Question> for Weathered {
    fn as_ref(&self) -> &Question {
        &self.question
    }
}

/// One command a question: read the file as its message, lay the command line over it, ask, print, keep the drawings.
macro_rules! questions {
    ($($name:ident($request:ident -> $answer:literal) by $arguments:ident, $lay:path;)*) => { $(
        pub(super) fn $name(arguments: &$arguments) -> Result<Outcome, End> {
            let question: &Question = arguments.as_ref();
            let form = Form::of(question.answerer.json);
            let read = survey::read_as::<v1::$request>(&question.request, stringify!($request));
            let (mut request, source) = read.map_err(|why| End::no_survey(why, form))?;
            $lay(&mut request, arguments)?;
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
    wall(WallRequest -> "WallResponse") by Weathered, weather;
    bridge(BridgeRequest -> "BridgeResponse") by Question, as_it_is;
    dynamics(DynamicsRequest -> "DynamicsResponse") by Question, as_it_is;
    economy(EconomyRequest -> "EconomyResponse") by Question, as_it_is;
    saving(SavingRequest -> "SavingResponse") by Weathered, weather;
    drying(DryingRequest -> "DryingResponse") by Weathered, weather;
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
