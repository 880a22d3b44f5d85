// Expected strokes on an NVIDIA card: what the kernels share. The files of this folder are joined in the
// order types, fields, read, look, sweep, measure. Lengths are cells of the raster; all holes of a course are
// worked on side by side, their arrays one behind the other.
//
// The numbers below are those of the processor's kernels; a test holds them together.
typedef unsigned long long u64;
#define LEVELS 34
#define TAPS 32
#define LIES 6
#define KEPT 6
#define KEPT_CELLS 4
#define AIMS 16
#define HOPELESS 0.95f
#define SHORT 60.0f
#define SHORT_NEAR 130.0f
#define OVER 1.2f
#define CLOSE 0.06f
#define STILL 5e-5f
#define HALVINGS 4
#define STEP 0.13962634f
#define PAD 8
#define TOP 14.0f
#define FULL_SCALE 65535.0f
#define LOOK 0.5f
#define PLAYED 0
#define CONSTANT 1
#define RELIEF 2
#define FLAG 3
// Most shots of a player: room for the coarse look of one spot.
#define MOST_SHOTS 1024
// Blocks among which the shots of a coarse look are shared.
#define SHARES 4
// Nodes of a blurred tile, each way.
#define TILE 32
// Candidates this far behind the first of their cell, strokes, are not looked at again.
#define BEHIND 0.03f
// Side of the blocks of cells that share what single balls add to like shots.
#define BLOCK_SIDE 4
// Short shots are tried SHORT_NEAR from the pin at most: levels that only they read matter this near to it.
#define NEAR_PIN 230.0f

struct Hole {
    int rows, columns;
    int cell;      // first of its cells
    int base;      // first node of its padded raster
    int s2, s4;    // first node of its averages over 2 x 2 and 4 x 4 cells
    int mx2, my2, mx4, my4;
    int hilly, wet;
    float wind_c, wind_s, pin_x, pin_y;
    float rise;  // height of a cell, by its whole number in `ground`
};

// How a level of one hole is read, as `locate` of the processor has it; and where it lies.
struct __align__(16) Level {
    float ic, shift, hx, hy;
    int at, my, mx, cell;
    int tile, across, spare[2];  // first of its tiles, and how many lie side by side
};

struct Tile {
    short hole, level, i, j;
};

// Patterns of a rule: `count` (6 n), points (6 n, most) of d, q, weight and level.
struct Points {
    const int* count;
    const float4* point;
    int most;
    int spare;
};

struct Player {
    Points quick, coarse;
    const float* extra;   // (6 n, 10)
    const float* run;     // (6 n, 4, 2)
    const float* parts;   // (6 n, 5, 6)
    const float* reach;   // (6 n)
    const int* allowed;   // (6 n)
    const int* middle;    // (6 n)
    const int* need;      // (2, LEVELS): of U and its flag, of the shares: 0 no, 1 near the pin, 2 everywhere
    const float* usual;   // (4) usual run by class over that on a fairway
    const float* limits;  // (6, 2) reach of the shortest and the longest shot that a lie allows
    const float* aims;    // (AIMS) directions of the coarse look beside the pin's
    int n, spare;
};

// Points of single balls: first those of each solid part, then those of mishits.
struct Balls {
    const float4* z;
    int solid, missed;
};

// Spots of one kind with their candidates: arrays (kept, n), so that neighbours lie side by side.
struct Search {
    const float *x, *y, *h, *bearing;
    const float *near, *far;  // distance to the pin of the nearest and furthest spot looked at together
    const int *lie, *hole;
    float* value;
    int *choice, *shot;
    float* aim;
    float4* way;       // cosine, sine, move along, move to the right
    float2* out_more;  // chance of stroke and distance; what runs and tails add to U
    float* more_out;   // what they add to that chance
    int* node;         // spot of the grid from which the candidates came
    int* from;         // cell whose measured candidates serve this one: itself, or one of its block
    int n, kept;
};

struct Course {
    const Hole* hole;
    const Level* level;
    const Tile* tile;
    const signed char* kind;
    const float *putts, *penalty, *height;
    const int* relief;
    const short2* ground;  // height; 1 + class of the run (0: nothing runs) and 8 times the distance to water
    const int4* slot;      // of the grid's states
    const float4* weight;
    const int* own;        // state of a cell, -1 where none
    const int* cell;       // cell of a state, -1 for the tees
    float *base, *s2, *s4;      // U; six sets for what never changes: shares 0..4, flag 5
    float* rest;                // U of cells, negative where flagged
    u64 *u, *fixed;             // packed levels; fixed (6, nodes)
    const float* tap;           // (LEVELS, TAPS)
    const int* reach;           // (LEVELS)
    unsigned char* touched;     // (tiles) whether a sweep over the cells reads this tile
    int holes, bases, nodes2, nodes4, nodes, tiles;
};
