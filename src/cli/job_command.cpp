#include "job_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <ostream>

#include "job_parts.hpp"

namespace plumbstack {
namespace {

constexpr const char* kJobHelp =
    "A job in the order of the work:\n"
    "  open      number, pack, technician: the check list begins\n"
    "  attach    the plan; each result of plumbstack check with its photos; other photos\n"
    "  serials   number compared with serial, typed or scanned, before stacking\n"
    "  tick      a line of the check list: done, a remark, figures, or failed\n"
    "  correct   figures that were typed wrong, by an entry of its own\n"
    "  lift      a module was lifted, turned, moved or exchanged: takes an earlier pass back\n"
    "  unsure, confirm   pictures of readings that the check was unsure of, and what a person "
    "reads\n"
    "  sign, close       a second person signs, then the job is closed\n"
    "  report            the job as PDF and page, for the customer\n"
    "  export, import    one job as a folder, and back\n"
    "  show, find, verify   how a job stands; which jobs there are; that nothing was changed\n\n"
    "The store is a folder (jobs.sqlite and the files), or PostgreSQL by its connection string "
    "with\n"
    "a folder for the files. Nothing is ever changed or taken out: a slip is put right by doing "
    "the\n"
    "step again, mistyped figures by correct.\n\n"
    "Exit status: 0 done, 1 recorded, and it is a fault, 2 recorded, and photos are to be taken\n"
    "again, 64 wrong usage, 65 refused or bad input, 70 a fault of the program's own, 74 an "
    "output\n"
    "or a store that could not be written.";

bool is_plain(const std::string& text) {
  return text.size() <= 2000 && std::all_of(text.begin(), text.end(),
                                            [](unsigned char c) { return c >= ' ' && c != 127; });
}

std::string refuse_unless_plain(const std::string& text) {
  return is_plain(text) ? "" : "a text must be one line of at most 2000 bytes";
}

std::string refuse_unless_name(const std::string& text) {
  const bool blank = text.find_first_not_of(' ') == std::string::npos;
  return is_plain(text) && !blank && text.size() <= 200 ? "" : "'" + text + "' is no name";
}

// A number becomes the name of a folder when the job goes elsewhere.
std::string refuse_unless_number(const std::string& text) {
  const bool path = text.find('/') != std::string::npos || text.rfind('.', 0) == 0;
  return refuse_unless_name(text).empty() && !path && text.size() <= 60
             ? ""
             : "'" + text +
                   "' is no job number: 1 to 60 characters without /, not beginning with .";
}

std::string refuse_unless_day(const std::string& text) {
  bool good = text.size() == 10;
  for (std::size_t i = 0; good && i < text.size(); ++i)
    good = i == 4 || i == 7 ? text[i] == '-' : text[i] >= '0' && text[i] <= '9';
  good = good && text.substr(5, 2) >= "01" && text.substr(5, 2) <= "12" && text.substr(8) >= "01" &&
         text.substr(8) <= "31";
  return good ? "" : "'" + text + "' is no day; write it as 2026-11-28";
}

std::string refuse_unless_figure(const std::string& text) {
  return text.find(',') == std::string::npos
             ? ""
             : "'" + text + "' has a comma; write a decimal point, and blanks between figures";
}

std::string refuse_unless_hash(const std::string& text) {
  const bool good =
      text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string::npos;
  return good ? "" : "'" + text + "' is no hash: 64 digits 0 to 9 and a to f, as job close gave it";
}

class Steps {
 public:
  Steps(CLI::App& job, JobArguments& a) : job_(job), a_(a) {}

  void add_all() {
    writing();
    confirming();
    ending();
    reading();
    searching();
    moving();
  }

 private:
  CLI::App& step(const char* name, const char* what) {
    CLI::App& made = *job_.add_subcommand(name, what);
    made.add_option("--store", a_.store,
                    "Folder of the jobs, or PostgreSQL connection string (else "
                    "$PLUMBSTACK_STORE)")
        ->type_name("STORE");
    made.add_option("--files", a_.files,
                    "Folder of the photos (else $PLUMBSTACK_FILES, else in the store's folder)")
        ->type_name("DIR");
    made.footer("The order of the steps and the exit status: plumbstack job --help");
    return made;
  }
  CLI::Option* number(CLI::App& to) {
    return to.add_option("job", a_.number, "Number of the job")
        ->required()
        ->check(refuse_unless_number)
        ->type_name("JOB");
  }
  void paper(CLI::App& to) {
    to.add_option("--paper", a_.paper, "Pages of the PDF: a4 or letter")
        ->check(CLI::IsMember({"a4", "letter"}))
        ->capture_default_str()
        ->type_name("PAPER");
  }
  CLI::App& write(const char* name, const char* what) {
    CLI::App& made = step(name, what);
    number(made);
    made.add_option("--by", a_.by, "Who does it")
        ->required()
        ->check(refuse_unless_name)
        ->type_name("NAME");
    return made;
  }

  void writing() {
    CLI::App& open = write("open", "Open a job");
    open.add_option("--pack", a_.pack, "Pack definition (JSON)")
        ->required()
        ->type_name("PACK.json");
    open.add_option("--customer", a_.customer, "Customer's reference, free text")
        ->check(refuse_unless_plain)
        ->type_name("TEXT");
    open.add_option("--check-list", a_.check_list, "A check list of your own (JSON)")
        ->type_name("LIST.json");

    CLI::App& attach = write("attach", "Attach the plan, a result with its photos, or a photo");
    auto* what = attach.add_option_group("what", "one of");
    what->add_option("--plan", a_.plan, "plan.json of plumbstack plan")->type_name("PLAN.json");
    what->add_option("--result", a_.result, "result.json of plumbstack check")
        ->type_name("RESULT.json");
    what->add_option("--shows", a_.shows, "What the photo shows: a line of the check list, or text")
        ->check(refuse_unless_name)
        ->type_name("WHAT");
    what->require_option(1);
    attach.add_option("photo", a_.photos, "All photos of the result, or the one photo")
        ->type_name("PHOTO");

    CLI::App& serials = write("serials", "Record the serial found on the module of each slot");
    serials
        .add_option("serial", a_.serials,
                    "SLOT=SERIAL; without any, one serial a line is read from the keyboard or "
                    "scanner, slot 1 first")
        ->type_name("SLOT=SERIAL");

    CLI::App& tick = write("tick", "Answer a line of the check list");
    tick.add_option("line", a_.line, "Its name, as plumbstack job show lists them")
        ->required()
        ->type_name("LINE");
    tick.add_option("--figures", a_.figures, "What was measured, in the line's unit")
        ->check(refuse_unless_figure)
        ->type_name("N");
    tick.add_option("--note", a_.note, "What was seen")
        ->check(refuse_unless_plain)
        ->type_name("TEXT");
    tick.add_flag("--failed", a_.failed, "It is not in order; say why with --note");

    CLI::App& correct = write("correct", "Correct figures that were typed wrong; both stay");
    correct.add_option("--entry", a_.entry, "Entry of the record that holds them")
        ->required()
        ->type_name("N");
    correct.add_option("--figures", a_.figures, "What was measured, in the line's unit")
        ->required()
        ->check(refuse_unless_figure)
        ->type_name("N");
    correct.add_option("--reason", a_.reason, "How it came about")
        ->required()
        ->check(refuse_unless_name)
        ->type_name("TEXT");

    CLI::App& lift = write("lift", "Record that modules were lifted, turned, moved or exchanged");
    lift.add_option("--slots", a_.slots, "Slots that are affected")
        ->required()
        ->delimiter(',')
        ->type_name("N,N");
    lift.add_option("--reason", a_.reason, "Why, and what was done")
        ->required()
        ->check(refuse_unless_name)
        ->type_name("TEXT");
  }

  void confirming() {
    CLI::App& unsure =
        step("unsure", "Write pictures of the readings that the check was unsure of");
    number(unsure);
    unsure.add_option("--out", a_.out, "Folder for the pictures")->required()->type_name("DIR");

    CLI::App& confirm = write("confirm", "Record what a person reads from such a picture");
    confirm.add_option("--crop", a_.crop, "The picture, as plumbstack job unsure wrote it")
        ->required()
        ->type_name("PICTURE");
    confirm.add_option("--reads", a_.reads, "What you see: a number; left or right; + or -")
        ->required()
        ->type_name("READING");
  }

  void ending() {
    CLI::App& sign = write("sign", "Sign as the second person, once every line is done");
    sign.add_option("--note", a_.note, "A remark")->check(refuse_unless_plain)->type_name("TEXT");

    CLI::App& close = write("close", "Close the job");
    close.add_option("--abandon", a_.reason, "Close it unfinished, and why")
        ->check(refuse_unless_name)
        ->type_name("REASON");
  }

  void reading() {
    CLI::App& show = step("show", "How a job stands, and what is left to do");
    number(show);
    show.add_flag("--json", a_.as_json, "For a program");

    CLI::App& report = step("report", "Write the report of a job: PDF and page");
    number(report);
    report.add_option("--out", a_.out, "Folder for the report")->required()->type_name("DIR");
    paper(report);

    CLI::App& verify = step("verify", "Prove that nothing in the record was changed");
    number(verify)->required(false);
    verify
        .add_option("--head", a_.head, "The last hash as it was noted down when the job was closed")
        ->check(refuse_unless_hash)
        ->type_name("HASH");
  }

  void searching() {
    CLI::App& find = step("find", "Which jobs are there?");
    JobQuery& q = a_.query;
    find.add_option("--serial", q.serial, "Of a module that is or was in the pack")
        ->type_name("SERIAL");
    find.add_option("--number", q.number, "Sequence number of a module")
        ->check(CLI::Range(1, 9999))
        ->type_name("N");
    find.add_option("--finding", q.finding, "Code of a finding, such as number.order")
        ->type_name("CODE");
    find.add_option("--pack", q.pack, "Id of the pack")->type_name("ID");
    find.add_option("--verdict", q.verdict, "Now valid")
        ->check(CLI::IsMember({"none", "pass", "fix", "retake", "voided"}))
        ->type_name("VERDICT");
    find.add_option("--standing", q.standing, "open, closed or abandoned")
        ->check(CLI::IsMember({"open", "closed", "abandoned"}))
        ->type_name("STANDING");
    find.add_option("--from", q.from, "Opened on this day (UTC) or later")
        ->check(refuse_unless_day)
        ->type_name("DAY");
    find.add_option("--to", q.to, "Opened on this day (UTC) or earlier")
        ->check(refuse_unless_day)
        ->type_name("DAY");
    find.add_option("--most", a_.most, "List at most so many")
        ->check(CLI::Range(1, 1000000))
        ->capture_default_str()
        ->type_name("N");
  }

  void moving() {
    CLI::App& out = step("export", "Write one job to a folder: entries, files, pictures, report");
    number(out);
    paper(out);
    out.add_option("--out", a_.out, "Folder, which must not be there yet")
        ->required()
        ->type_name("DIR");
    CLI::App& in = step("import", "Take in a job that another store exported");
    in.add_option("folder", a_.out, "The exported folder")->required()->type_name("DIR");
  }

  CLI::App& job_;
  JobArguments& a_;
};

}  // namespace

CLI::App& add_job_command(CLI::App& app, JobArguments& arguments) {
  CLI::App& job = *app.add_subcommand("job", "Keep the record of a job, and search all jobs");
  Steps(job, arguments).add_all();
  job.require_subcommand(1);
  job.footer(kJobHelp);
  return job;
}

Result<ExitCode> run_job(const CLI::App& app, const JobArguments& a, std::istream& in,
                         std::ostream& say) {
  const std::string step = app.get_subcommands().front()->get_name();
  if (step == "open") return job::open(a, say);
  if (step == "attach") return job::attach(a, say);
  if (step == "serials") return job::serials(a, in, say);
  if (step == "tick") return job::tick(a, say);
  if (step == "correct") return job::correct(a, say);
  if (step == "lift") return job::lift(a, say);
  if (step == "unsure") return job::unsure(a, say);
  if (step == "confirm") return job::confirm(a, say);
  if (step == "sign") return job::sign(a, say);
  if (step == "close") return job::close(a, say);
  if (step == "show") return job::show(a, say);
  if (step == "report") return job::report(a, say);
  if (step == "verify") return job::verify(a, say);
  if (step == "export") return job::export_to(a, say);
  if (step == "import") return job::import_from(a, say);
  return job::find(a, say);
}

}  // namespace plumbstack
