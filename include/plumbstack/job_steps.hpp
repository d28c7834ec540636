// What a person wants to write -> what may be written, decided on the job as it is. Each gives a
// function for JobStore::append; its error is job_refused unless another is named.
#pragma once

#include "plumbstack/job_store.hpp"

namespace plumbstack::steps {

using Decide = JobStore::Decide;

/// @pre of the job's pack, as it was read with its definition; so are results
Decide attach_plan(PlanAttached plan);

/// Follows the result before it.
Decide attach_result(ResultAttached result);

Decide attach_photo(PhotoAttached photo);

/// Slots of this pack, each once.
Decide compare_serials(SerialsCompared read);

/// A line that is answered by hand, in the way that it asks for. A line of the time after bussing
/// is taken only while the stack has passed: no bus bar goes on before.
Decide tick_line(LineTicked tick);

/// Figures of a ticked line that were typed wrong; the line must take figures, and these must
/// differ.
/// @param corrects entry
Decide correct_figures(int corrects, std::vector<double> figures, std::string reason);

Decide lift_modules(ModulesLifted lifted);

/// Of the last result, while it still says something of the stack.
Decide confirm_reading(ReadingConfirmed confirmed);

/// Every line done, and not by the technician of the job.
Decide sign_job(std::string by, std::string note);

/// Every line done and signed by somebody else; or, with a reason, unfinished.
Decide close_job(std::string by, std::string abandoned);

}  // namespace plumbstack::steps
