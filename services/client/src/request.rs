//! From the survey file's request to that of each call.

use api::v1;

use crate::arguments::Job;

macro_rules! survey_as {
    ($module:ident, $survey:expr) => {
        $survey.map(|survey| match survey {
            v1::estimate_request::Survey::Building(b) => v1::$module::Survey::Building(b),
            v1::estimate_request::Survey::Short(s) => v1::$module::Survey::Short(s),
        })
    };
}

/// The request with what the command line says laid over.
pub fn whole(mut request: v1::EstimateRequest, job: &Job) -> v1::EstimateRequest {
    if let Some(branch) = &job.branch {
        request.branch.clone_from(branch);
    }
    if let Some(mm) = job.thickness {
        let choice = Some(v1::thickness::Choice::BoardThicknessMm(mm));
        request.thickness = Some(v1::Thickness { choice });
    }
    let mut include = request.include.unwrap_or_default();
    include.setting_out |= job.setting_out;
    include.working |= job.working;
    include.drawings |= job.drawings.is_some();
    include.rule_costs |= job.rule_costs;
    request.include = Some(include);
    request
}

/// Its thermal part.
pub fn thermal(whole: v1::EstimateRequest) -> v1::AssessRequest {
    v1::AssessRequest {
        reference: whole.reference,
        branch: whole.branch,
        survey: survey_as!(assess_request, whole.survey),
        system: whole.system,
        thickness: whole.thickness,
        wind: whole.wind,
        climate: whole.climate,
        country: whole.country,
        finish: whole.finish,
        reflection_index_percent: whole.reflection_index_percent,
        include: whole.include,
    }
}

/// Its fixing part.
pub fn fixing(whole: v1::EstimateRequest) -> v1::DesignRequest {
    v1::DesignRequest {
        reference: whole.reference,
        branch: whole.branch,
        survey: survey_as!(design_request, whole.survey),
        system: whole.system,
        thickness: whole.thickness,
        wind: whole.wind,
        country: whole.country,
        layout_rules: whole.layout_rules,
        search_budget_steps: whole.search_budget_steps,
        include: whole.include,
    }
}

/// Its takeoff part.
pub fn takeoff(whole: v1::EstimateRequest) -> v1::TakeOffRequest {
    v1::TakeOffRequest {
        reference: whole.reference,
        branch: whole.branch,
        survey: survey_as!(take_off_request, whole.survey),
        system: whole.system,
        thickness: whole.thickness,
        wind: whole.wind,
        country: whole.country,
        finish: whole.finish,
        measurement: whole.measurement,
        layout_rules: whole.layout_rules,
        search_budget_steps: whole.search_budget_steps,
        tax_share: whole.tax_share,
        include: whole.include,
        reflection_index_percent: whole.reflection_index_percent,
        site_temperature: whole.site_temperature,
        bonding_method: whole.bonding_method,
        base_coat_courses_mm: whole.base_coat_courses_mm,
    }
}
