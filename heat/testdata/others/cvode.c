/* The forecast of a case by CVODE: backward differences, Newton by GMRES
 * without a matrix. Reads the nodes and the reaction that heat/others_test.go
 * writes, prints the milliseconds it took and core and mean at every mark.
 * cc -O3 cvode.c -lsundials_cvode -lsundials_nvecserial -lsundials_sunlinsolspgmr -lm */
#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <sunlinsol/sunlinsol_spgmr.h>
#include <time.h>

enum { AXES = 3 };

typedef struct {
	int n[AXES];
	double *size[AXES], *between[AXES], *half[AXES], out[AXES][2];
	double around, riseK, k1, k2, m, order, kelvin, refC, gelFactor, gelC, rampK, bend, boilC;
} batch;

static double *doubles(int n)
{
	double *d = malloc((n > 0 ? n : 1) * sizeof *d);
	for (int i = 0; i < n; i++)
		if (scanf("%lf", d + i) != 1) exit(2);
	return d;
}

/* How fast at tC where the node's cell is warmer than it by warmer, and its
   temperatures lie within span of that. */
static double speed(const batch *b, double tC, double warmer, double span)
{
	double s = exp(-b->kelvin * (1 / (tC + 273.15) - 1 / (b->refC + 273.15)));
	double gelled = fmin(1, fmax(0, (tC + warmer - b->gelC) / (2 * span) + 0.5));
	return s * (1 + (b->gelFactor - 1) * gelled);
}

/* Temperatures stand before conversions. */
static int slopes(realtype t, N_Vector y, N_Vector dy, void *data)
{
	batch *b = data;
	const int n0 = b->n[0], n1 = b->n[1], n2 = b->n[2], all = n0 * n1 * n2;
	const double *T = N_VGetArrayPointer(y), *X = T + all;
	double *dT = N_VGetArrayPointer(dy), *dX = dT + all;
	const int stride[AXES] = { n1 * n2, n2, 1 };
	(void)t;
	for (int i = 0, a = 0; i < n0; i++)
		for (int j = 0; j < n1; j++)
			for (int k = 0; k < n2; k++, a++) {
				const int at[AXES] = { i, j, k };
				double flow = 0, warmer = 0, span = b->rampK * b->rampK / 4;
				for (int d = 0; d < AXES; d++) {
					const int p = at[d], n = b->n[d], s = stride[d];
					const double *g = b->between[d] + p * n, *line = T + a - p * s;
					double f = 0;
					for (int q = 0; q < n; q++) f -= g[q] * line[q * s];
					if (p == 0) f += b->out[d][0] * (b->around - T[a]);
					if (p == n - 1) f += b->out[d][1] * (b->around - T[a]);
					flow += f / b->size[d][p];
					const double high = T[p < n - 1 ? a + s : a];
					const double low = T[p > 0 ? a - s : d < 2 ? a + s : a]; /* across a middle: its mirror */
					const double turn = b->half[d][p] * (high - low);
					span += turn * turn;
					warmer += b->bend * (high + low - 2 * T[a]);
				}
				const double left = fmax(0, 1 - X[a]), x = fmax(0, X[a]);
				dX[a] = speed(b, T[a], warmer, sqrt(span)) * (b->k1 + b->k2 * pow(x, b->m)) * pow(left, b->order);
				dT[a] = flow + b->riseK * dX[a];
				if (T[a] >= b->boilC && dT[a] > 0) dT[a] = 0;
			}
	return 0;
}

int main(int argc, char **argv)
{
	const double rtol = argc > 1 ? atof(argv[1]) : 1e-4;
	batch b;
	double startC, startX, untilS, markS;
	int core;
	if (scanf("%d %d %d %d", &b.n[0], &b.n[1], &b.n[2], &core) != 4) return 2;
	for (int d = 0; d < AXES; d++) {
		b.size[d] = doubles(b.n[d]);
		b.between[d] = doubles(b.n[d] * b.n[d]);
		b.half[d] = doubles(b.n[d]);
		if (scanf("%lf %lf", &b.out[d][0], &b.out[d][1]) != 2) return 2;
	}
	if (scanf("%lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf", &b.around, &b.riseK, &b.k1, &b.k2, &b.m, &b.order, &b.kelvin, &b.refC, &b.gelFactor, &b.gelC, &b.rampK, &b.bend, &b.boilC) != 13) return 2;
	if (scanf("%lf %lf %lf %lf", &startC, &startX, &untilS, &markS) != 4) return 2;

	const int all = b.n[0] * b.n[1] * b.n[2];
	SUNContext ctx;
	SUNContext_Create(NULL, &ctx);
	N_Vector y = N_VNew_Serial(2 * all, ctx), tolerance = N_VNew_Serial(2 * all, ctx);
	double *T = N_VGetArrayPointer(y);
	for (int i = 0; i < all; i++) {
		T[i] = startC, T[all + i] = startX;
		NV_Ith_S(tolerance, i) = 100 * rtol, NV_Ith_S(tolerance, all + i) = rtol; /* of 100 K, of 1 */
	}
	struct timespec from, to;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &from);
	void *cv = CVodeCreate(CV_BDF, ctx);
	SUNLinearSolver ls = SUNLinSol_SPGMR(y, PREC_NONE, 0, ctx);
	if (CVodeInit(cv, slopes, 0, y) || CVodeSVtolerances(cv, rtol, tolerance) || CVodeSetUserData(cv, &b) || CVodeSetLinearSolver(cv, ls, NULL) || CVodeSetMaxNumSteps(cv, 1000000)) return 1;
	const int marks = (int)(untilS / markS + 0.5);
	double *cores = malloc((marks + 1) * sizeof *cores), *means = malloc((marks + 1) * sizeof *means);
	for (int m = 0; m <= marks; m++) {
		realtype t = 0;
		if (m > 0 && CVode(cv, m * markS, y, &t, CV_NORMAL) < 0) return 1;
		double mean = 0, volume = 0;
		for (int i = 0, a = 0; i < b.n[0]; i++)
			for (int j = 0; j < b.n[1]; j++)
				for (int k = 0; k < b.n[2]; k++, a++) {
					const double v = b.size[0][i] * b.size[1][j] * b.size[2][k];
					mean += v * T[a], volume += v;
				}
		cores[m] = T[core], means[m] = mean / volume;
	}
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &to);
	long steps;
	CVodeGetNumSteps(cv, &steps);
	printf("%.3f %ld\n", (to.tv_sec - from.tv_sec) * 1e3 + (to.tv_nsec - from.tv_nsec) / 1e6, steps);
	for (int m = 0; m <= marks; m++) printf("%.6f %.6f\n", cores[m], means[m]);
	return 0;
}
