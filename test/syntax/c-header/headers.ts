/** Headers of our own, the first file of each is the one read. Names are those of no firmware. */
export const HEADERS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  'include guards and repeated inclusion': {
    'main.h': '#include "a.h"\n#include "b.h"\n#include "a.h"\nTOTAL COUNT\n',
    'a.h': '#ifndef A_H\n#define A_H\n#define COUNT 3\n#endif\n',
    'b.h': '#pragma once\n#include "a.h"\n#include "b.h"\n#define TOTAL (COUNT * 2)\n',
  },
  'files that include each other behind guards': {
    'main.h': '#ifndef M\n#define M\n#include "other.h"\n#define MAIN OTHER\n#endif\nMAIN\n',
    'other.h': '#ifndef O\n#define O\n#include "main.h"\n#define OTHER 7\n#endif\n',
  },
  'one table read in two ways': {
    'main.h':
      '#define ROW(name, pin) name = pin,\nenum {\n#include "rows.h"\n};\n#undef ROW\n#define ROW(name, pin) #name,\nchar *n[] = {\n#include "rows.h"\n};\n',
    'rows.h': 'ROW(left, 3)\nROW(right, (1, 2))\n',
  },
  'include names out of macros': {
    'main.h':
      '#define STR(x) #x\n#define XSTR(x) STR(x)\n#define BOARD two\n#define FILE_OF(b) XSTR(board_##b.h)\n#define GO(b) FILE_OF(b)\n#include GO(BOARD)\n#define PLAIN "board_two.h"\n#include PLAIN\nPINS\n',
    'board_two.h': '#define PINS 40\nseen\n',
  },
  'choice between variants': {
    'main.h':
      '#define KIND 2\n#if KIND == 1\n#define RATE 9600\n#elif KIND == 2\n#define RATE 115200 /* usual */\n#elif KIND == 3\n#error three\n#else\n#error none\n#endif\n#if RATE > 100000 && defined(KIND) && !defined(NOTHING)\nFAST RATE\n#endif\n#ifdef NOTHING\n#elifndef NOTHING\nnothing\n#endif\n',
  },
  'line splices everywhere': {
    'main.h':
      '#def\\\nine LO\\\nNG 1\\\n2\\\n3 /\\\n/ comment \\\n still comment\n# /* in */ define /* between */ OTHER /* before */ 4 /* after\n over lines */ + 5\nLONG OTHER "a\\\nb"\n#if LONG == \\\n 123\nyes\n#endif\n',
  },
  'Windows line ends': {
    'main.h': '#define A 1 \\\r\n  + 2\r\n#if A == 3\r\nA "t"\r\n#else\r\nno\r\n#endif\r\n/* c\r\n */ A\r\n',
  },
  'tables by recursion through different names': {
    'main.h':
      '#define EVAL(...) EVAL1(EVAL1(EVAL1(__VA_ARGS__)))\n#define EVAL1(...) EVAL2(EVAL2(EVAL2(__VA_ARGS__)))\n#define EVAL2(...) __VA_ARGS__\n#define EMPTY()\n#define DEFER(id) id EMPTY()\n#define EACH(m, x, ...) m(x) __VA_OPT__(DEFER(EACH_)()(m, __VA_ARGS__))\n#define EACH_() EACH\n#define SHOW(x) <#x>\nEVAL(EACH(SHOW, a, b c, (d, e), 4))\n',
  },
  'counting and picking arguments': {
    'main.h':
      '#define CAT_(a, b) a ## b\n#define CAT(a, b) CAT_(a, b)\n#define PICK(a, b, c, d, n, ...) n\n#define COUNT(...) PICK(__VA_ARGS__, 4, 3, 2, 1, 0)\n#define JOIN2(a, b) a:b\n#define JOIN3(a, b, c) a:b:c\n#define JOIN(...) CAT(JOIN, COUNT(__VA_ARGS__))(__VA_ARGS__)\nJOIN(x, y) JOIN(1, 2, 3) COUNT(a)\n#define IF(c) CAT(IF_, c)\n#define IF_1(t, f) t\n#define IF_0(t, f) f\nIF(1)(yes, no) IF(0)(yes, no)\n',
  },
  'line numbers, counters and levels': {
    'main.h':
      '__LINE__\n#line 100\n__LINE__\n__COUNTER__ __COUNTER__\n#include "in.h"\n__LINE__ __INCLUDE_LEVEL__\n',
    'in.h': '__LINE__ __INCLUDE_LEVEL__\n',
  },
  'kept and restored definitions': {
    'main.h':
      '#define A 1\n#pragma push_macro("A")\n#undef A\n#define A 2\nA\n#pragma pop_macro("A")\nA\n#undef A\nA\n',
  },
  'tests for headers': {
    'main.h':
      '#ifdef __has_include\n#if __has_include("in.h") && !__has_include("gone.h") && !__has_include(<no/such/file.h>)\n#include "in.h"\n#endif\n#endif\n#define WHICH "in.h"\n#if __has_include(WHICH)\nfound\n#endif\n',
    'in.h': 'included\n',
  },
  'numbers of all kinds in conditions': {
    'main.h':
      "#if 0x10 == 020 && 0b10000 == 16 && 1'000 == 1000 && 'a' == 97 && '\\x41' == 'A' && '\\101' == 65 && L'x' == 120 && u8'y' == 121\nall\n#endif\n#if -1 >> 63 == -1 && -1u >> 63 == 1 && (2 || 1/0) && 0 == (0 && 1/0) && (1 ? 2 : 1/0) == 2\nmore\n#endif\n#if (0xFFFFFFFFFFFFFFFF == -1) && (18446744073709551615u + 1 == 0) && (1 ? -1 : 0u) > 0\nwraps\n#endif\n#if 'ab' == 24930 && '\\377' < 0\nchars\n#endif\n",
  },
  digraphs: {
    'main.h': '%:define S(x) %:x\n%:define C(a, b) a %:%: b\nS(<:a:>) C(x, y) <% %> S(%:%:)\n',
  },
  'comments and quotes in odd places': {
    'main.h':
      '#define URL "http://x" // not a comment inside\n#define Q \'"\' /* " */ "/*"\nURL Q a/**/b /* "unclosed */ c // it\'s fine\n#if 0\nit\'s "skipped\n#define X \'\n#endif\nend\n',
  },
  'old and GNU ways': {
    'main.h':
      '#define LOG(fmt, args...) print(fmt , ## args)\nLOG("a") LOG("a", 1) LOG("a", ) LOG("a", 1, 2)\n#define E(...) e(0 , ## __VA_ARGS__)\nE() E(1)\n# 7 "elsewhere"\n#ident "me"\n#\n$x\n',
  },
  // From here on each is the least text on which the reader once differed from gcc and clang.
  'a directive between a name and its parenthesis': {
    'main.h': '#define F(x) [x]\nF\n#define A 1\n(2)\nF\n#\n(3)\nF\n\n(4)\nF(\n#define B 5\nB)\n',
  },
  'a file that ends before the parenthesis': {
    'main.h': '#define F(x) [x]\n#include "in.h"\n(1)\nF\n#include "paren.h"\n',
    'in.h': 'F\n',
    'paren.h': '(2)\n',
  },
  'a comma joined on both sides': {
    'main.h':
      '#define L(x, ...) x , ## __VA_ARGS__ ## 1\n#define M(x, ...) x , ## __VA_ARGS__\nM(1) M(1, 2)\n',
  },
  'names by escape': {
    'main.h': '#define \u00e9 5\n#define S(x) #x\n\u00e9 \\u00e9 S(\\u00e9)\n#ifdef \\u00E9\nyes\n#endif\n',
  },
  'file names by #line': {
    'main.h':
      '#line 5 "other.c"\n__LINE__ __FILE__\n#line 9\n__LINE__ __FILE__\n# 3 "third.c" 3 4\n__FILE__\n',
  },
  'lines of a call over several': {
    'main.h': '#define F(x) __LINE__ x __LINE__\nF(\n1\n)\n__LINE__\n',
  },
  'names of the compiler itself': {
    'main.h':
      '#if defined __DATE__ && defined __TIME__ && defined __TIMESTAMP__ && defined __BASE_FILE__ && defined _Pragma\nyes\n#endif\n#undef __LINE__\n__LINE__\n#ifndef __LINE__\ngone\n#endif\n#define __FILE__ "mine"\n__FILE__\n#undef __COUNTER__\n__COUNTER__\n',
  },
  'pragmas by operator': {
    'main.h':
      '#define A 1\n#define KEEP(x) _Pragma(#x)\nKEEP(push_macro("A"))\n#undef A\n#define A 2\nA\n_Pragma("pop_macro(\\"A\\")")\nA\n#undef A\n#include "once.h"\n#include "once.h"\n',
    'once.h': '_Pragma("once") here\n',
  },
  'a pragma among arguments': {
    'main.h': '#define F(x) [x]\nF(1\n#pragma p\n2)\n',
  },
  'a macro named like a question': {
    'main.h':
      '#ifndef __has_extension\n#define __has_extension(x) x\n#endif\n#define on 1\n#if __has_extension(on)\nyes\n#endif\n',
  },
  'a backslash at the end of all': { 'main.h': '#define A 1\nA \\' },
  'reserved names': { 'main.h': '#define __VA_ARGS__ 1\n#define A(x) x\n#undef B C\nA(2)\n' },
  '#undef of the operator': { 'main.h': '#undef defined\nx\n' },
  'an arm without a name': { 'main.h': '#if 0\n#elifdef\nx\n#endif\n#if 0\n#elifndef 3\n#endif\n' },
  'a question that is more than a guard': {
    'main.h': '#define Z\n#include "or.h"\n#undef Z\n#include "or.h"\n#include "plus.h"\n#include "plus.h"\n',
    'or.h': '#if !defined G || !defined Z\n#define G\nor\n#endif\n',
    'plus.h': '#if !defined(P) + 1\n#define P\nplus\n#endif\n',
  },
  'a pragma before a guard does its work each time': {
    'main.h':
      '#define A 1\n#include "in.h"\n#undef A\n#define A 2\n#include "in.h"\n#undef A\n#pragma pop_macro("A")\nA\n#pragma pop_macro("A")\nA\n',
    'in.h': '#pragma push_macro("A")\n#ifndef G\n#define G\nin\n#endif\n',
  },
  'once with more behind it': {
    'main.h': '#include "in.h"\n#include "in.h"\n',
    'in.h': '#pragma once and more\nin\n',
  },
  'an optional part inside another': { 'main.h': '#define F(a, ...) __VA_OPT__(__VA_OPT__(a))\nF(1, 2)\n' },
  'a reserved name as parameter': { 'main.h': '#define F(__VA_OPT__) [__VA_OPT__]\nF(1)\n' },
  'an operator name in #ifdef': { 'main.h': '#ifdef defined\nyes\n#endif\n#ifndef defined\nno\n#endif\n' },
  'defined among arguments': {
    'main.h': '#define A 3\n#define F(x) x\n#if F(defined A)\nx\n#endif\n#if F(defined(B))\ny\n#endif\n',
  },
  'header names in questions': {
    'main.h':
      '#if __has_include("\\x69n.h")\nescaped\n#endif\n#if __has_include(< in.h>)\nblank\n#endif\n#if __has_include("in.h") && !__has_include("gone//in.h")\nyes\n#endif\n',
    'in.h': '\n',
  },
  'a wide text in a question': {
    'main.h': '#if __has_include(L"in.h")\n#endif\n',
    'in.h': '\n',
  },
  'a wide text as file name': { 'main.h': '#define H L"in.h"\n#include H\n', 'in.h': 'in\n' },
  'a wide text as file name in #line': { 'main.h': '#line 5 L"x"\n__LINE__\n' },
  'pragmas without their operands': {
    'main.h': '#pragma push_macro(A)\n#pragma pop_macro("A"\n#pragma push_macro "A"\nx\n',
  },
  'a name of the compiler itself, kept and restored': {
    'main.h':
      '#pragma push_macro("__LINE__")\n#undef __LINE__\n__LINE__\n#pragma pop_macro("__LINE__")\n__LINE__\n',
  },
  '#ident without a text': { 'main.h': '#ident x\ny\n' },
  'separators that part no digits': {
    'main.h':
      "#if 0x'1\n#endif\n#if 1'u\n#endif\n#if 0b'1\n#endif\n#if 0x1'F == 31 && 0'7 == 7\nyes\n#endif\n",
  },
  'characters out of range and beyond ASCII': {
    'main.h':
      "#if '\\E' == 27 && L'\\xffffffff' == -1 && u'\\x10041' == 'A' && U'\\xffffffff' > 0 && 'é' == 0xc3a9\nyes\n#endif\n",
  },
  'characters without a value': {
    'main.h':
      "#if '\\x'\n#endif\n#if '\\u12'\n#endif\n#if '\\u0041'\n#endif\n#if '\\ud800'\n#endif\n#if u8'é'\n#endif\n#if u8'ab'\n#endif\n",
  },
  'an optional part that begins with nothing': {
    'main.h':
      '#define S(...) #__VA_ARGS__\n#define X(...) S(__VA_ARGS__)\n#define E\n#define A(x, ...) a##__VA_OPT__(x b)\n#define B(x, ...) __VA_OPT__(c)##__VA_OPT__(x##x d)\n#define C(x, ...) __VA_OPT__(e)__VA_OPT__(x f)\nX(A(,1)) X(A(2,1)) X(A(E,1)) X(B(,1)) X(B(3,1)) X(C(,1)) X(C(E 4,1))\n',
  },
  'a comma that goes with what is left out': {
    'main.h':
      '#define S(...) #__VA_ARGS__\n#define X(...) S(__VA_ARGS__)\n#define A(x, ...) x ## , ## __VA_ARGS__\n#define B(x, ...) ( , ## __VA_ARGS__#x)\n#define D(...) 0 , ## __VA_ARGS__\nX(A(1)) X(B(1)) X(B(1,2)) X(B(1, 2)) X(D()) X(D(1)) X(D( 1))\n',
  },
  'a text joined with a comma': {
    'main.h': '#define A(x, ...) __VA_OPT__(,) ## #__VA_ARGS__\nA(1, 2)\n',
  },
  'a NUL in a short text': { 'main.h': '#define A 1\0 2\nA\n' },
};
