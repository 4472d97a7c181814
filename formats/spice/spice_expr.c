/* formats/spice/spice_expr.c: expressions of .param, {…} and '…'.
 *
 * A value that depends on a voltage, a current or the time is no value that a
 * part can have; such an expression is told apart, not refused.  Statistical
 * functions give their nominal value, for that is what one buys.
 */
#include "spice.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

typedef struct eval {
    swi_deck *deck;
    swi_scope *scope;
    const swi_function *function; /* whose body this is, or NULL */
    const double *arguments;
    swi_slice text;
    size_t at;
    swi_outcome outcome;
} eval;

static double ternary(eval *e);

static void skip_blanks(eval *e) {
    while (e->at < e->text.length && swi_is_space(e->text.text[e->at]))
        e->at++;
}

static char peek(eval *e) {
    skip_blanks(e);
    return e->at < e->text.length ? e->text.text[e->at] : '\0';
}

static sw_span here(const eval *e, size_t at, size_t length) {
    if (at >= e->text.length) return swi_slice_span(e->text);
    return (sw_span){e->text.source, e->text.offset + (uint32_t)at, (uint32_t)length};
}

static double wrong(eval *e, size_t at, const char *what) {
    if (e->outcome == SWI_VALUE) {
        sw_diag_add(e->deck->diags, SW_D_SPICE_EXPRESSION, here(e, at, 1), "%s", what);
        e->outcome = SWI_WRONG;
    }
    return 0;
}

static double finite_or_wrong(eval *e, size_t at, double value, const char *what) {
    return isfinite(value) ? value : wrong(e, at, what);
}

/* Of one expression with everything it leads to. */
#define MOST_STEPS 1000000u

/* Counts a level of nesting; every level is left by e->deck->evaluation--. */
static bool enter(eval *e) {
    swi_deck *deck = e->deck;
    bool deep = ++deck->evaluation > 4 * deck->limits->nesting;
    if (!deep && ++deck->evaluation_steps <= MOST_STEPS) return true;
    if (deep && e->outcome == SWI_VALUE)
        sw_diag_add(deck->diags, SW_D_LIMIT_NESTING, here(e, e->at, 1),
                    "parentheses, parameters and functions lead more than %u levels deep here",
                    4 * deck->limits->nesting);
    else if (!deck->stopped && e->outcome == SWI_VALUE)
        sw_diag_add(deck->diags, SW_D_LIMIT_EXPANSION, here(e, e->at, 1),
                    "this expression takes more than %u steps: its functions call one another "
                    "too often",
                    MOST_STEPS);
    deck->stopped = deck->stopped || !deep;
    e->outcome = SWI_WRONG;
    return false;
}

/* ---- functions ---- */

static double u_step(double x) {
    return x > 0 ? 1 : x < 0 ? 0 : 0.5;
}
static double ramp(double x) {
    return x > 0 ? x : 0;
}
static double sign_of(double x) {
    return x > 0 ? 1 : x < 0 ? -1 : 0;
}
static double decibels(double x) {
    return 20 * log10(fabs(x));
}
static double square(double x) {
    return x * x;
}

static const struct {
    const char *name;
    double (*of)(double);
} simple[] = {{"sin", sin},     {"cos", cos},     {"tan", tan},     {"asin", asin},
              {"acos", acos},   {"atan", atan},   {"arcsin", asin}, {"arccos", acos},
              {"arctan", atan}, {"sinh", sinh},   {"cosh", cosh},   {"tanh", tanh},
              {"asinh", asinh}, {"acosh", acosh}, {"atanh", atanh}, {"exp", exp},
              {"ln", log},      {"log", log},     {"log10", log10}, {"sqrt", sqrt},
              {"abs", fabs},    {"sgn", sign_of}, {"int", trunc},   {"trunc", trunc},
              {"floor", floor}, {"ceil", ceil},   {"round", round}, {"nint", round},
              {"u", u_step},    {"uramp", ramp},  {"db", decibels}, {"sqr", square}};

typedef enum several {
    F_MIN,
    F_MAX,
    F_POW,
    F_PWR,
    F_SIGN,
    F_ATAN2,
    F_HYPOT,
    F_MOD,
    F_LIMIT,
    F_IF,
    F_NOMINAL
} several;
static const struct {
    const char *name;
    several what;
    unsigned least, most;
} many[] = {{"min", F_MIN, 1, 16},       {"max", F_MAX, 1, 16},       {"pow", F_POW, 2, 2},
            {"pwr", F_PWR, 2, 2},        {"sign", F_SIGN, 2, 2},      {"atan2", F_ATAN2, 2, 2},
            {"hypot", F_HYPOT, 2, 2},    {"fmod", F_MOD, 2, 2},       {"limit", F_LIMIT, 2, 3},
            {"if", F_IF, 3, 3},          {"ternary_fcn", F_IF, 3, 3}, {"gauss", F_NOMINAL, 1, 4},
            {"agauss", F_NOMINAL, 1, 4}, {"unif", F_NOMINAL, 1, 4},   {"aunif", F_NOMINAL, 1, 4},
            {"mc", F_NOMINAL, 1, 2},     {"wc", F_NOMINAL, 1, 2}};

static double of_several(several what, const double *a, unsigned n) {
    double best = a[0];
    switch (what) {
    case F_MIN:
    case F_MAX:
        for (unsigned i = 1; i < n; i++)
            best = what == F_MIN ? fmin(best, a[i]) : fmax(best, a[i]);
        return best;
    case F_POW:
        return pow(a[0], a[1]);
    case F_PWR:
        return sign_of(a[0]) * pow(fabs(a[0]), a[1]);
    case F_SIGN:
        return fabs(a[0]) * sign_of(a[1]);
    case F_ATAN2:
        return atan2(a[0], a[1]);
    case F_HYPOT:
        return hypot(a[0], a[1]);
    case F_MOD:
        return fmod(a[0], a[1]);
    case F_LIMIT: /* of two it is a spread about the first */
        return n == 3 ? fmin(fmax(a[0], fmin(a[1], a[2])), fmax(a[1], a[2])) : a[0];
    case F_IF:
        return a[0] != 0 ? a[1] : a[2];
    case F_NOMINAL:
        break;
    }
    return a[0];
}

static unsigned arguments(eval *e, double values[16]) {
    unsigned n = 0;
    e->at++; /* the parenthesis */
    if (peek(e) == ')') {
        e->at++;
        return 0;
    }
    while (e->outcome == SWI_VALUE) {
        double value = ternary(e);
        if (n == 16) return wrong(e, e->at, "more than 16 arguments"), 0u;
        values[n++] = value;
        char c = peek(e);
        if (c != ',' && c != ')')
            return wrong(e, e->at, "a comma or a closing parenthesis is missing here"), 0u;
        e->at++;
        if (c == ')') break;
    }
    return n;
}

static const swi_function *find_function(eval *e, const char *name, size_t length,
                                         swi_scope **scope) {
    for (swi_scope *s = e->scope; s != NULL; s = s->outer) {
        uint32_t i = swi_spice_get(s->def->function_map, name, length);
        if (i != SW_NONE) {
            *scope = s;
            return &s->def->functions[i];
        }
    }
    return NULL;
}

static double call_own(eval *e, const swi_function *f, swi_scope *scope, size_t at,
                       const double *values, unsigned n) {
    if (n != f->argument_count)
        return wrong(e, at, "the function is defined with another number of arguments");
    eval inner = {.deck = e->deck,
                  .scope = scope,
                  .function = f,
                  .arguments = values,
                  .text = f->body,
                  .outcome = SWI_VALUE};
    double result = 0;
    if (enter(e)) result = ternary(&inner);
    e->deck->evaluation--;
    if (inner.outcome == SWI_VALUE && peek(&inner) != '\0')
        wrong(&inner, inner.at, "this is left over at the end of the expression");
    if (e->outcome == SWI_VALUE) e->outcome = inner.outcome;
    return result;
}

/* Voltages, currents and what is made of them over time. */
static bool is_behaviour(const char *name, size_t length) {
    static const char *const words[] = {"v",       "i",    "ddt",    "idt",   "sdt",
                                        "ddx",     "pwl",  "table",  "delay", "absdelay",
                                        "laplace", "rand", "random", "white"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_equal_fold_n(name, length, words[i])) return true;
    return false;
}

static double call(eval *e, const char *name, size_t length, size_t at) {
    double v[16] = {0};
    swi_scope *scope = NULL;
    const swi_function *own = find_function(e, name, length, &scope);
    if (own == NULL && is_behaviour(name, length)) {
        e->outcome = SWI_BEHAVIOUR;
        return 0;
    }
    unsigned n = arguments(e, v);
    if (e->outcome != SWI_VALUE) return 0;
    if (own != NULL) return call_own(e, own, scope, at, v, n);
    for (size_t i = 0; i < sizeof simple / sizeof *simple; i++)
        if (n == 1 && swi_equal_fold_n(name, length, simple[i].name))
            return finite_or_wrong(e, at, simple[i].of(v[0]),
                                   "the function has no value for this argument");
    for (size_t i = 0; i < sizeof many / sizeof *many; i++)
        if (n >= many[i].least && n <= many[i].most && swi_equal_fold_n(name, length, many[i].name))
            return finite_or_wrong(e, at, of_several(many[i].what, v, n),
                                   "the function has no value for these arguments");
    sw_diag_add(e->deck->diags, SW_D_SPICE_FUNCTION, here(e, at, length),
                "there is no function %.*s of %u argument%s: define it with .func", (int)length,
                name, n, SWI_S(n));
    e->outcome = SWI_WRONG;
    return 0;
}

/* ---- names and numbers ---- */

static bool constant(const char *name, size_t length, double *value) {
    /* Exact values of the SI, 2019; room temperature as the Berkeley manual's 27. */
    static const struct {
        const char *name;
        double value;
    } all[] = {{"pi", 3.14159265358979323846},
               {"e", 2.71828182845904523536},
               {"true", 1},
               {"false", 0},
               {"yes", 1},
               {"no", 0},
               {"temper", 27},
               {"temp", 27},
               {"tnom", 27},
               {"kelvin", -273.15},
               {"boltz", 1.380649e-23},
               {"echarge", 1.602176634e-19},
               {"planck", 6.62607015e-34},
               {"c", 299792458}};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        if (swi_equal_fold_n(name, length, all[i].name)) {
            *value = all[i].value;
            return true;
        }
    }
    return false;
}

static double name_value(eval *e, const char *name, size_t length, size_t at) {
    double value = 0;
    bool found = false;
    for (uint32_t i = 0; e->function != NULL && i < e->function->argument_count; i++)
        if (swi_equal_fold_n(name, length, e->function->arguments[i])) return e->arguments[i];
    if (enter(e)) {
        swi_outcome outcome =
            swi_scope_value(e->deck, e->scope, name, length, here(e, at, length), &value, &found);
        if (found && outcome != SWI_VALUE) e->outcome = outcome;
    }
    e->deck->evaluation--;
    if (found || e->outcome != SWI_VALUE || constant(name, length, &value)) return value;
    if (swi_equal_fold_n(name, length, "time") || swi_equal_fold_n(name, length, "hertz") ||
        swi_equal_fold_n(name, length, "freq")) {
        e->outcome = SWI_BEHAVIOUR;
        return 0;
    }
    sw_diag_add(e->deck->diags, SW_D_SPICE_PARAMETER, here(e, at, length),
                "there is no parameter `%.*s` here: set it with .param", (int)length, name);
    e->outcome = SWI_WRONG;
    return 0;
}

static double number(eval *e) {
    const char *text = e->text.text + e->at;
    size_t left = e->text.length - e->at, start = e->at;
    double value = 0;
    bool coded = false, digits = false;
    size_t used = swi_spice_number(text, left, &value);
    if (used == 0) return wrong(e, e->at, "a number, a name or a parenthesis is missing here");
    size_t end = used;
    for (; end < left &&
           (swi_is_alpha(text[end]) || swi_is_digit(text[end]) || (unsigned char)text[end] >= 0x80);
         end++)
        digits = digits || swi_is_digit(text[end]);
    e->at += end;
    if (digits && !swi_spice_value(text, end, &value, &coded))
        return wrong(e, start, "this is no number");
    return value;
}

static bool begins_name(char c) {
    return swi_is_alpha(c) || c == '_' || c == '$' || c == '@';
}

static double primary(eval *e) {
    char c = peek(e);
    size_t at = e->at;
    if (c == '(' || c == '{') {
        double value = 0;
        e->at++;
        if (enter(e)) value = ternary(e);
        e->deck->evaluation--;
        if (peek(e) != (c == '(' ? ')' : '}'))
            return wrong(e, at, "this parenthesis is not closed");
        e->at++;
        return value;
    }
    if (!begins_name(c)) return number(e);
    const char *name = e->text.text + at;
    while (e->at < e->text.length &&
           (begins_name(e->text.text[e->at]) || swi_is_digit(e->text.text[e->at]) ||
            e->text.text[e->at] == '.' || e->text.text[e->at] == '#'))
        e->at++;
    size_t length = e->at - at;
    if (peek(e) == '(') return call(e, name, length, at);
    return name_value(e, name, length, at);
}

/* ---- operators ---- */

static double unary(eval *e);

static double power(eval *e) {
    double base = primary(e);
    char c = peek(e);
    size_t at = e->at;
    bool stars = c == '*' && e->at + 1 < e->text.length && e->text.text[e->at + 1] == '*';
    if (e->outcome != SWI_VALUE || (c != '^' && !stars)) return base;
    e->at += stars ? 2 : 1;
    double exponent = 1;
    if (enter(e)) exponent = unary(e); /* 2**3**2 is 2**(3**2) */
    e->deck->evaluation--;
    return finite_or_wrong(e, at, pow(base, exponent), "this power has no value");
}

static double unary(eval *e) {
    char c = peek(e);
    if (c != '-' && c != '+' && c != '!' && c != '~') return power(e);
    double value = 0;
    e->at++;
    if (enter(e)) value = unary(e);
    e->deck->evaluation--;
    return c == '-' ? -value : c == '+' ? value : value == 0 ? 1 : 0;
}

typedef enum op {
    OP_NONE,
    OP_OR,
    OP_AND,
    OP_EQ,
    OP_NE,
    OP_LE,
    OP_GE,
    OP_LT,
    OP_GT,
    OP_ADD,
    OP_SUB,
    OP_MUL,
    OP_DIV,
    OP_MOD
} op;
static const struct {
    const char *text;
    op what;
    int level;
} operators[] = {{"||", OP_OR, 1}, {"&&", OP_AND, 2}, {"==", OP_EQ, 3}, {"!=", OP_NE, 3},
                 {"<>", OP_NE, 3}, {"<=", OP_LE, 4},  {">=", OP_GE, 4}, {"<", OP_LT, 4},
                 {">", OP_GT, 4},  {"=", OP_EQ, 3},   {"|", OP_OR, 1},  {"&", OP_AND, 2}, {"+", OP_ADD, 5},
                 {"-", OP_SUB, 5}, {"*", OP_MUL, 6},  {"/", OP_DIV, 6}, {"%", OP_MOD, 6}};

static op next_operator(eval *e, int level, int *found, size_t *length) {
    skip_blanks(e);
    size_t left = e->text.length - e->at;
    for (size_t i = 0; i < sizeof operators / sizeof *operators; i++) {
        size_t n = strlen(operators[i].text);
        if (left < n || memcmp(e->text.text + e->at, operators[i].text, n) != 0) continue;
        *found = operators[i].level;
        *length = n;
        return operators[i].level >= level ? operators[i].what : OP_NONE;
    }
    return OP_NONE;
}

static double apply(eval *e, op what, double a, double b, size_t at) {
    switch (what) {
    case OP_OR:
        return a != 0 || b != 0;
    case OP_AND:
        return a != 0 && b != 0;
    case OP_EQ:
        return a == b;
    case OP_NE:
        return a != b;
    case OP_LE:
        return a <= b;
    case OP_GE:
        return a >= b;
    case OP_LT:
        return a < b;
    case OP_GT:
        return a > b;
    case OP_ADD:
        a += b;
        break;
    case OP_SUB:
        a -= b;
        break;
    case OP_MUL:
        a *= b;
        break;
    case OP_DIV:
    case OP_MOD:
        if (b == 0) return wrong(e, at, "division by zero");
        a = what == OP_DIV ? a / b : fmod(a, b);
        break;
    case OP_NONE:
        break;
    }
    return finite_or_wrong(e, at, a, "the result is too large for a number");
}

static double binary(eval *e, int level) {
    double left = unary(e);
    while (e->outcome == SWI_VALUE) {
        int found = 0;
        size_t length = 0;
        op what = next_operator(e, level, &found, &length);
        size_t at = e->at;
        if (what == OP_NONE) break;
        e->at += length;
        double right = binary(e, found + 1);
        if (e->outcome == SWI_VALUE) left = apply(e, what, left, right, at);
    }
    return left;
}

static double ternary(eval *e) {
    double value = 0;
    if (enter(e)) value = binary(e, 1);
    if (e->outcome == SWI_VALUE && peek(e) == '?') {
        e->at++;
        double yes = ternary(e), no = 0;
        if (e->outcome == SWI_VALUE && peek(e) != ':')
            wrong(e, e->at, "a colon is missing after `?` and its first value");
        e->at++;
        if (e->outcome == SWI_VALUE) no = ternary(e);
        value = value != 0 ? yes : no;
    }
    e->deck->evaluation--;
    return value;
}

swi_outcome swi_evaluate(swi_deck *deck, swi_scope *scope, swi_slice expression, double *value) {
    eval e = {.deck = deck, .scope = scope, .text = expression, .outcome = SWI_VALUE};
    if (deck->evaluation == 0) deck->evaluation_steps = 0;
    *value = ternary(&e);
    if (e.outcome == SWI_VALUE && peek(&e) != '\0')
        wrong(&e, e.at, "this is left over at the end of the expression");
    return e.outcome;
}
